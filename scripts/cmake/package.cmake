# Manual page, completion of the shell, changes and licence where an installation has them, and the Debian package, which
# scripts/package builds. The first two are what the program says of itself.
set(documents "${PROJECT_BINARY_DIR}/shell_documents")
find_program(PACKAGE_PYTHON python3 PATHS /usr/bin NO_DEFAULT_PATH)
find_program(GZIP gzip)
# In the form that Debian's tools read; docs/CHANGELOG.md says what changed.
file(WRITE "${PROJECT_BINARY_DIR}/changelog" "dryfront (${PROJECT_VERSION}) unstable; urgency=medium

  * See docs/CHANGELOG.md.

 -- dryfront maintainers <maintainers@users.noreply.example>  Tue, 01 Dec 2026 12:00:00 +0000
")
if(PACKAGE_PYTHON AND GZIP)
  add_custom_command(
    OUTPUT "${documents}/dryfront.1.gz" "${documents}/dryfront" "${documents}/changelog.gz"
    COMMAND ${PACKAGE_PYTHON} -B "${PROJECT_SOURCE_DIR}/scripts/shell-documents" $<TARGET_FILE:dryfront> "${documents}"
    COMMAND ${GZIP} -9nf "${documents}/dryfront.1"
    COMMAND ${CMAKE_COMMAND} -E copy "${PROJECT_BINARY_DIR}/changelog" "${documents}/changelog"
    COMMAND ${GZIP} -9nf "${documents}/changelog"
    DEPENDS dryfront "${PROJECT_SOURCE_DIR}/scripts/shell-documents"
    COMMENT "Writing the manual page and the completion"
    VERBATIM)
  add_custom_target(dryfront_shell_documents ALL DEPENDS "${documents}/dryfront.1.gz")
  # OPTIONAL: they are there when everything was built, not the program alone.
  install(FILES "${documents}/dryfront.1.gz" DESTINATION ${CMAKE_INSTALL_MANDIR}/man1 OPTIONAL)
  install(FILES "${documents}/dryfront" DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions OPTIONAL)
  install(FILES "${documents}/changelog.gz" DESTINATION ${CMAKE_INSTALL_DOCDIR} OPTIONAL)
endif()
install(FILES LICENSE DESTINATION ${CMAKE_INSTALL_DOCDIR} RENAME copyright)

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME dryfront)
set(CPACK_PACKAGE_VERSION ${PROJECT_VERSION})
set(CPACK_PACKAGE_CONTACT "dryfront maintainers <maintainers@users.noreply.example>")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PACKAGE_DEPENDS "python3, python3-numpy, python3-h5py, python3-matplotlib")
set(CPACK_DEBIAN_PACKAGE_SUGGESTS "python3-xarray, python3-netcdf4")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "depth of electrosurgical desiccation, for teaching and research")
set(CPACK_DEBIAN_PACKAGE_DESCRIPTION "Solves bioheat, electric conduction, boil-off and damage under an electrode
in two dimensions and says why one waveform reaches deeper than another.
For teaching and research only, not for choosing settings on a patient.")
include(CPack)
