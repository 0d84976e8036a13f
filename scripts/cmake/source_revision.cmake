# Writes `header` with the version and the git revision of `source`: "-dirty" when tracked files differ from it,
# "unknown" outside git. Run with cmake -D source=... -D version=... -D header=... -P.
set(revision "unknown")
find_program(GIT git)
if(GIT AND EXISTS "${source}/.git")
  execute_process(COMMAND ${GIT} -C ${source} rev-parse --short=12 HEAD
    OUTPUT_VARIABLE head OUTPUT_STRIP_TRAILING_WHITESPACE RESULT_VARIABLE failed ERROR_QUIET)
  if(NOT failed)
    set(revision "${head}")
    execute_process(COMMAND ${GIT} -C ${source} --no-optional-locks status --porcelain --untracked-files=no
      OUTPUT_VARIABLE changes ERROR_QUIET)
    if(changes)
      string(APPEND revision "-dirty")
    endif()
  endif()
endif()

set(text "// Generated in every build.
#pragma once

namespace dryfront {

inline constexpr const char* version = \"${version}\";
inline constexpr const char* source_revision = \"${revision}\";

}  // namespace dryfront
")
set(old "")
if(EXISTS "${header}")
  file(READ "${header}" old)
endif()
if(NOT old STREQUAL text)
  file(WRITE "${header}" "${text}")
endif()
