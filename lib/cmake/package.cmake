# Installation: library, headers, package description for CMake and pkg-config, tools, examples; a Debian package.
# Man pages install themselves (man.cmake). Every path is relative to the prefix, so the tree can be moved.
include(CMakePackageConfigHelpers)

set(stile_cmake_dir ${CMAKE_INSTALL_LIBDIR}/cmake/stile)
set(stile_pkgconfig_dir ${CMAKE_INSTALL_LIBDIR}/pkgconfig)

install(TARGETS stile EXPORT stile-targets FILE_SET HEADERS)
install(EXPORT stile-targets NAMESPACE stile:: DESTINATION ${stile_cmake_dir})

# A static library leaves its own libraries to whoever links it; a shared one names them itself.
get_target_property(stile_type stile TYPE)
if(stile_type STREQUAL "STATIC_LIBRARY")
  set(stile_find_dependencies "include(CMakeFindDependencyMacro)\nfind_dependency(fmt 9)\nfind_dependency(tomlplusplus 3.3)\nfind_dependency(NLopt 2.7)\nfind_dependency(Threads)")
  set(stile_pc_needs "Requires: fmt tomlplusplus nlopt\nLibs: -L\${libdir} -lstile -pthread")
else()
  set(stile_find_dependencies "")
  set(stile_pc_needs "Requires.private: fmt tomlplusplus nlopt\nLibs: -L\${libdir} -lstile\nLibs.private: -pthread")
endif()

configure_package_config_file(${CMAKE_CURRENT_LIST_DIR}/stile-config.cmake.in ${PROJECT_BINARY_DIR}/stile-config.cmake
  INSTALL_DESTINATION ${stile_cmake_dir} NO_SET_AND_CHECK_MACRO)
write_basic_package_version_file(${PROJECT_BINARY_DIR}/stile-config-version.cmake COMPATIBILITY SameMinorVersion)
install(FILES ${PROJECT_BINARY_DIR}/stile-config.cmake ${PROJECT_BINARY_DIR}/stile-config-version.cmake
  DESTINATION ${stile_cmake_dir})

file(RELATIVE_PATH stile_pc_to_prefix /prefix/${stile_pkgconfig_dir} /prefix)
string(REGEX REPLACE "/$" "" stile_pc_to_prefix ${stile_pc_to_prefix})
configure_file(${CMAKE_CURRENT_LIST_DIR}/stile.pc.in ${PROJECT_BINARY_DIR}/stile.pc @ONLY)
install(FILES ${PROJECT_BINARY_DIR}/stile.pc DESTINATION ${stile_pkgconfig_dir})

foreach(tool stile-net stile-match stile-range stile-coil stile-whip stile-sweep stile-plan stile-design)
  if(TARGET ${tool})
    install(TARGETS ${tool})
  endif()
endforeach()
install(DIRECTORY ${PROJECT_SOURCE_DIR}/examples DESTINATION ${CMAKE_INSTALL_DOCDIR} OPTIONAL)
install(FILES ${PROJECT_SOURCE_DIR}/LICENSE DESTINATION ${CMAKE_INSTALL_DOCDIR} RENAME copyright)

# The API reference, in BUILD/reference; a warning fails.
configure_file(${CMAKE_CURRENT_LIST_DIR}/Doxyfile.in ${PROJECT_BINARY_DIR}/Doxyfile @ONLY)
add_custom_target(reference COMMAND doxygen ${PROJECT_BINARY_DIR}/Doxyfile VERBATIM)

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_VENDOR "The Stile authors")
set(CPACK_PACKAGE_CONTACT "The Stile authors")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "${PROJECT_DESCRIPTION}")
set(CPACK_PACKAGE_DESCRIPTION "Computes what should stand between a transmitter and a short whip, what it costs on
each band and how far each number can be trusted. Holds the command-line tools and
the C++20 library with its headers.")
set(CPACK_RESOURCE_FILE_LICENSE ${PROJECT_SOURCE_DIR}/LICENSE)
set(CPACK_STRIP_FILES ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_SECTION hamradio)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_PACKAGE_RECOMMENDS "gnuplot-nox, fonts-dejavu-core")
set(CPACK_DEBIAN_PACKAGE_SUGGESTS "libfmt-dev, libtomlplusplus-dev, libnlopt-dev")      # to build against the library
include(CPack)
