# SPDX-License-Identifier: GPL-3.0-or-later
# What an install holds: headers, both libraries, the program, the profiles, and how CMake and pkg-config find them.
include(CMakePackageConfigHelpers)

install(DIRECTORY include/jetwright DESTINATION ${CMAKE_INSTALL_INCLUDEDIR})
install(DIRECTORY profiles DESTINATION ${CMAKE_INSTALL_DATADIR}/jetwright OPTIONAL)
install(FILES LICENSE DESTINATION ${CMAKE_INSTALL_DOCDIR})
if(TARGET jetwright_cli)
  install(TARGETS jetwright_cli)
endif()

set(JW_CONFIG_DIR ${CMAKE_INSTALL_LIBDIR}/cmake/jetwright)
install(TARGETS jetwright EXPORT jetwright-shared)
install(TARGETS jetwright_static EXPORT jetwright-static)
foreach(kind shared static)
  install(EXPORT jetwright-${kind} NAMESPACE jetwright:: DESTINATION ${JW_CONFIG_DIR})
endforeach()
configure_package_config_file(cmake/jetwright-config.cmake.in jetwright-config.cmake
                              INSTALL_DESTINATION ${JW_CONFIG_DIR})
write_basic_package_version_file(jetwright-config-version.cmake COMPATIBILITY SameMinorVersion)
install(FILES ${PROJECT_BINARY_DIR}/jetwright-config.cmake ${PROJECT_BINARY_DIR}/jetwright-config-version.cmake
        DESTINATION ${JW_CONFIG_DIR})

# Relative to the file's own place, so that an installed tree can be moved.
file(RELATIVE_PATH JW_PC_PREFIX /${CMAKE_INSTALL_LIBDIR}/pkgconfig /)
configure_file(cmake/jetwright.pc.in jetwright.pc @ONLY)
install(FILES ${PROJECT_BINARY_DIR}/jetwright.pc DESTINATION ${CMAKE_INSTALL_LIBDIR}/pkgconfig)
