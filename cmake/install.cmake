# SPDX-License-Identifier: GPL-3.0-or-later
# What an install holds: headers, both libraries, the program, the profiles, and how CMake and pkg-config find them.
# Its components are Debian's packages, see package.cmake.
include(CMakePackageConfigHelpers)

install(DIRECTORY profiles DESTINATION ${CMAKE_INSTALL_DATADIR}/jetwright)
install(TARGETS jetwright_cli)

set(JW_CONFIG_DIR ${CMAKE_INSTALL_LIBDIR}/cmake/jetwright)
install(DIRECTORY include/jetwright DESTINATION ${CMAKE_INSTALL_INCLUDEDIR} COMPONENT development
        FILES_MATCHING PATTERN *.h PATTERN ranges.dox)
install(DIRECTORY examples DESTINATION ${CMAKE_INSTALL_DOCDIR} COMPONENT development FILES_MATCHING PATTERN *.[ch])
install(TARGETS jetwright EXPORT jetwright-shared LIBRARY COMPONENT runtime NAMELINK_COMPONENT development)
install(TARGETS jetwright_static EXPORT jetwright-static ARCHIVE COMPONENT development)
foreach(kind shared static)
  install(EXPORT jetwright-${kind} NAMESPACE jetwright:: DESTINATION ${JW_CONFIG_DIR} COMPONENT development)
endforeach()
configure_package_config_file(cmake/jetwright-config.cmake.in jetwright-config.cmake
                              INSTALL_DESTINATION ${JW_CONFIG_DIR})
write_basic_package_version_file(jetwright-config-version.cmake COMPATIBILITY SameMinorVersion)
install(FILES ${PROJECT_BINARY_DIR}/jetwright-config.cmake ${PROJECT_BINARY_DIR}/jetwright-config-version.cmake
        DESTINATION ${JW_CONFIG_DIR} COMPONENT development)

# Relative to the file's own place, so that an installed tree can be moved.
file(RELATIVE_PATH JW_PC_PREFIX ${CMAKE_INSTALL_FULL_LIBDIR}/pkgconfig ${CMAKE_INSTALL_PREFIX})
file(RELATIVE_PATH JW_PC_LIBDIR ${CMAKE_INSTALL_PREFIX} ${CMAKE_INSTALL_FULL_LIBDIR})
file(RELATIVE_PATH JW_PC_INCLUDEDIR ${CMAKE_INSTALL_PREFIX} ${CMAKE_INSTALL_FULL_INCLUDEDIR})
configure_file(cmake/jetwright.pc.in jetwright.pc @ONLY)
install(FILES ${PROJECT_BINARY_DIR}/jetwright.pc DESTINATION ${CMAKE_INSTALL_LIBDIR}/pkgconfig COMPONENT development)

install(FILES LICENSE DESTINATION ${CMAKE_INSTALL_DOCDIR} COMPONENT unpackaged)
# Debian has that text already; its packages say so, each in a folder of its own name.
foreach(component ${CPACK_COMPONENTS_ALL})
  string(TOUPPER ${component} COMPONENT)
  set(folder ${CMAKE_INSTALL_DATADIR}/doc/${CPACK_DEBIAN_${COMPONENT}_PACKAGE_NAME})
  install(FILES cmake/debian/copyright DESTINATION ${folder} COMPONENT ${component} EXCLUDE_FROM_ALL)
  install(FILES CHANGELOG DESTINATION ${folder} RENAME changelog COMPONENT ${component} EXCLUDE_FROM_ALL)
endforeach()

# What lintian would say of them, and why it does not hold.
foreach(component runtime development)
  string(TOUPPER ${component} COMPONENT)
  configure_file(cmake/debian/${component}/lintian-overrides debian/${component}/lintian-overrides @ONLY)
  install(FILES ${PROJECT_BINARY_DIR}/debian/${component}/lintian-overrides
          DESTINATION ${CMAKE_INSTALL_DATADIR}/lintian/overrides RENAME ${CPACK_DEBIAN_${COMPONENT}_PACKAGE_NAME}
          COMPONENT ${component} EXCLUDE_FROM_ALL)
endforeach()
