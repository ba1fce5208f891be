# SPDX-License-Identifier: GPL-3.0-or-later
# `cmake --build build --target reference` writes the API reference to build/reference/html; a warning is an error.
find_package(Doxygen QUIET)
if(NOT DOXYGEN_FOUND)
  return()
endif()
configure_file(cmake/Doxyfile.in Doxyfile @ONLY)
configure_file(cmake/reference.dox.in reference.dox @ONLY)
file(GLOB examples CONFIGURE_DEPENDS RELATIVE ${PROJECT_SOURCE_DIR}/examples examples/*.c)
foreach(example ${examples})
  file(APPEND ${PROJECT_BINARY_DIR}/reference.dox "/** \\example ${example} */\n")
endforeach()
add_custom_target(reference COMMAND Doxygen::doxygen ${PROJECT_BINARY_DIR}/Doxyfile VERBATIM)
