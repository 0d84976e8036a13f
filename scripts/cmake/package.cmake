# The manual page, the completion of the shell, and the Debian package: cmake --build --preset package --target package.
# Both documents are what the program says of itself; where it cannot run (another machine's program) there are none.
if(NOT CMAKE_CROSSCOMPILING)
  set(shell_documents "${PROJECT_BINARY_DIR}/shell_documents")
  find_program(PACKAGE_PYTHON python3 PATHS /usr/bin NO_DEFAULT_PATH)
  if(PACKAGE_PYTHON)
    add_custom_command(
      OUTPUT "${shell_documents}/dryfront.1" "${shell_documents}/dryfront"
      COMMAND ${PACKAGE_PYTHON} -B "${PROJECT_SOURCE_DIR}/scripts/shell-documents" $<TARGET_FILE:dryfront> "${shell_documents}"
      DEPENDS dryfront "${PROJECT_SOURCE_DIR}/scripts/shell-documents"
      COMMENT "Writing the manual page and the completion"
      VERBATIM)
    add_custom_target(dryfront_shell_documents ALL DEPENDS "${shell_documents}/dryfront.1")
    install(FILES "${shell_documents}/dryfront.1" DESTINATION ${CMAKE_INSTALL_MANDIR}/man1 OPTIONAL)
    install(FILES "${shell_documents}/dryfront" DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions OPTIONAL)
  endif()
endif()

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME dryfront)
set(CPACK_PACKAGE_VERSION ${PROJECT_VERSION})
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "depth of electrosurgical desiccation, for teaching and research")
set(CPACK_PACKAGE_DESCRIPTION
  "Solves bioheat, electric conduction, boil-off and damage under an electrode in two dimensions and says why one "
  "waveform reaches deeper than another. For teaching and research only; not for choosing settings on a patient.")
list(JOIN CPACK_PACKAGE_DESCRIPTION "" CPACK_PACKAGE_DESCRIPTION)
set(CPACK_PACKAGE_CONTACT "dryfront maintainers <maintainers@users.noreply.example>")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PACKAGE_DEPENDS "python3, python3-numpy, python3-h5py, python3-matplotlib")
set(CPACK_DEBIAN_PACKAGE_SUGGESTS "python3-xarray, python3-netcdf4")
include(CPack)
