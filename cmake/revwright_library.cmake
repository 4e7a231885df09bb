# Flags every target of ours compiles with. Contraction is off so that the same inputs give the same bits.
add_library(revwright_flags INTERFACE)
target_compile_options(revwright_flags INTERFACE -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Werror -ffp-contract=off)
# clang takes std::stable_sort of libstdc++ 12 for our own use of what it deprecates.
target_compile_options(revwright_flags INTERFACE $<$<CXX_COMPILER_ID:Clang>:-Wno-deprecated-declarations>)
# g++ 12 with -O3 sees overlap where a std::string is assigned from short text,
# a false alarm of that version (GCC bug 105329; number from memory). It also takes empty std::string and std::optional
# members for uninitialized ones. The debug and sanitizer builds keep both warnings.
target_compile_options(revwright_flags INTERFACE
  $<$<AND:$<CXX_COMPILER_ID:GNU>,$<CONFIG:Release>>:-Wno-restrict$<SEMICOLON>-Wno-maybe-uninitialized>)
target_include_directories(revwright_flags INTERFACE ${CMAKE_SOURCE_DIR}/src)

# revwright_library(NAME DEPENDS layers.. PACKAGES targets.. SOURCES files.. TESTS files..)
# DEPENDS repeats the layer's line in tools/layers.txt.
function(revwright_library name)
  cmake_parse_arguments(ARG "" "" "DEPENDS;PACKAGES;SOURCES;TESTS;TEST_DEPENDS" ${ARGN})
  list(TRANSFORM ARG_DEPENDS PREPEND revwright_)
  list(TRANSFORM ARG_TEST_DEPENDS PREPEND revwright_)
  if(ARG_SOURCES)
    add_library(revwright_${name} STATIC ${ARG_SOURCES})
    target_link_libraries(revwright_${name} PUBLIC ${ARG_DEPENDS} ${ARG_PACKAGES} PRIVATE revwright_flags)
    target_include_directories(revwright_${name} PUBLIC ${CMAKE_SOURCE_DIR}/src)
  else()
    add_library(revwright_${name} INTERFACE)
    target_link_libraries(revwright_${name} INTERFACE ${ARG_DEPENDS} ${ARG_PACKAGES})
    target_include_directories(revwright_${name} INTERFACE ${CMAKE_SOURCE_DIR}/src)
  endif()
  if(BUILD_TESTING AND ARG_TESTS)
    add_executable(${name}_test ${ARG_TESTS})
    target_link_libraries(${name}_test PRIVATE revwright_${name} ${ARG_TEST_DEPENDS} revwright_flags GTest::gtest_main)
    # Templates of the test libraries are most of a test's compile time; only what is tested needs optimising.
    target_compile_options(${name}_test PRIVATE -O0)
    gtest_discover_tests(${name}_test WORKING_DIRECTORY ${CMAKE_SOURCE_DIR} DISCOVERY_MODE PRE_TEST)
  endif()
endfunction()
