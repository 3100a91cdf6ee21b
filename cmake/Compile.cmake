# Flags that hold for every file of the project; libraries' headers come in as system headers.
add_library(runtrue_flags INTERFACE)
target_include_directories(runtrue_flags INTERFACE ${CMAKE_SOURCE_DIR}/src ${CMAKE_SOURCE_DIR})
target_compile_options(runtrue_flags INTERFACE
  -Wall -Wextra -Wpedantic -Wconversion -Wshadow -Wdouble-promotion -Wnon-virtual-dtor -Wold-style-cast
  -Werror=unused-result
  $<$<BOOL:${RUNTRUE_WERROR}>:-Werror>)
# Debug builds are made to be built often: line numbers for the checks' reports, no more, and optimised only where a
# domain's tests would be too slow else (OPTIMISED in Domain.cmake).
set(CMAKE_CXX_FLAGS_DEBUG "-g1")
target_compile_definitions(runtrue_flags INTERFACE $<$<CONFIG:Debug>:_GLIBCXX_ASSERTIONS>
  RUNTRUE_VERSION="${PROJECT_VERSION}")
if(RUNTRUE_SANITIZE)
  target_compile_options(runtrue_flags INTERFACE -fsanitize=${RUNTRUE_SANITIZE} -fno-sanitize-recover=all
    -fno-omit-frame-pointer)
  target_link_options(runtrue_flags INTERFACE -fsanitize=${RUNTRUE_SANITIZE})
endif()
if(RUNTRUE_FUZZ)
  # Coverage feedback for the code under test; the fuzz targets themselves link the fuzzer's main.
  target_compile_options(runtrue_flags INTERFACE -fsanitize=fuzzer-no-link)
endif()

find_program(CCACHE ccache)
if(CCACHE)
  set(CMAKE_CXX_COMPILER_LAUNCHER ${CCACHE})
endif()
