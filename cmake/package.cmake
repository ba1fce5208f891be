# SPDX-License-Identifier: GPL-3.0-or-later
# `cpack` makes four Debian packages of an install's components: the program, the shared library, what is built against
# it, and the package for Python.
set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_CONTACT "the authors of jetwright <authors@jetwright.invalid>") # cpack -D CPACK_PACKAGE_CONTACT=...
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_COMPONENTS_ALL program runtime development)
set(CPACK_PRE_BUILD_SCRIPTS ${PROJECT_SOURCE_DIR}/cmake/debian/compress.cmake)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PACKAGE_GENERATE_SHLIBS ON)
set(CPACK_DEBIAN_PACKAGE_GENERATE_SHLIBS_POLICY ">=")
set(CPACK_DEBIAN_PACKAGE_CONTROL_STRICT_PERMISSION ON)

set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME jetwright)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SECTION science)
set(CPACK_COMPONENT_PROGRAM_DESCRIPTION "The program explains why an engine runs lean or rich and which passage to
clean, tells what to fit after a change of engine, carburetor, fuel or
altitude, and computes the mixture at any speed and throttle. Profiles of
engines, fuels and jets come along.")

set(library libjetwright${JETWRIGHT_ABI})
set(CPACK_DEBIAN_RUNTIME_PACKAGE_NAME ${library})
set(CPACK_DEBIAN_RUNTIME_PACKAGE_SECTION libs)
set(CPACK_DEBIAN_RUNTIME_PACKAGE_CONTROL_EXTRA ${PROJECT_SOURCE_DIR}/cmake/debian/runtime/triggers)
set(CPACK_COMPONENT_RUNTIME_DESCRIPTION "The shared library, for programs in C and C++: the mixture at any point,
causes of what an engine does, jets after a change, and files of profiles.")

set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_NAME libjetwright-dev)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_SECTION libdevel)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_DEPENDS "${library} (= ${PROJECT_VERSION}), libgsl-dev, libyaml-dev")
set(CPACK_COMPONENT_DEVELOPMENT_DESCRIPTION "What programs are built with: headers, the static library, how CMake and
pkg-config find them, and an example of every function.")

# It names the place of the library, and so is of the library's architecture and version.
if(TARGET jetwright_python)
  list(APPEND CPACK_COMPONENTS_ALL python)
  set(CPACK_DEBIAN_PYTHON_PACKAGE_NAME python3-jetwright)
  set(CPACK_DEBIAN_PYTHON_PACKAGE_SECTION python)
  set(CPACK_DEBIAN_PYTHON_PACKAGE_DEPENDS "${library} (= ${PROJECT_VERSION}), python3 (>= 3.11), python3-numpy")
  set(CPACK_DEBIAN_PYTHON_PACKAGE_CONTROL_EXTRA ${PROJECT_SOURCE_DIR}/cmake/debian/python/postinst
      ${PROJECT_SOURCE_DIR}/cmake/debian/python/prerm)
  set(CPACK_COMPONENT_PYTHON_DESCRIPTION "The library for Python: the same words, arrays of points solved in C, and
errors as exceptions.")
endif()
include(CPack)
