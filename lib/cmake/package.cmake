# Installation in three components, each a Debian package of tools/deb: tools (programs, man pages, completions, examples),
# library (the shared library) and development (headers, package description for CMake and pkg-config, consumer programs).
# Man pages and completions install themselves (tools/CMakeLists.txt). Every path is relative to the prefix, so the tree can be moved.
include(CMakePackageConfigHelpers)

set(stile_abi ${PROJECT_VERSION_MAJOR}.${PROJECT_VERSION_MINOR})
set(stile_cmake_dir ${CMAKE_INSTALL_LIBDIR}/cmake/stile)
set(stile_pkgconfig_dir ${CMAKE_INSTALL_LIBDIR}/pkgconfig)

# The shared library: the static one's objects, with the public names alone. Programs against it need no header but its own.
set(stile_exports ${PROJECT_BINARY_DIR}/stile.map)
add_custom_command(OUTPUT ${stile_exports}
  COMMAND ${CMAKE_CURRENT_LIST_DIR}/exports.sh $<TARGET_FILE:stile> ${stile_abi} ${stile_exports}
  DEPENDS stile ${CMAKE_CURRENT_LIST_DIR}/exports.sh VERBATIM)
add_custom_target(stile_exports DEPENDS ${stile_exports})
get_target_property(stile_public_headers stile HEADER_SET)
add_library(stile_shared SHARED $<TARGET_OBJECTS:stile>)
target_sources(stile_shared PUBLIC FILE_SET HEADERS BASE_DIRS ${PROJECT_SOURCE_DIR}/lib FILES ${stile_public_headers})
target_compile_features(stile_shared PUBLIC cxx_std_20)
target_link_libraries(stile_shared PRIVATE fmt::fmt tomlplusplus::tomlplusplus NLopt::nlopt Threads::Threads)
target_link_options(stile_shared PRIVATE LINKER:--version-script=${stile_exports} LINKER:-Bsymbolic-functions LINKER:-z,now)
add_dependencies(stile_shared stile_exports)
set_target_properties(stile_shared PROPERTIES LINKER_LANGUAGE CXX OUTPUT_NAME stile EXPORT_NAME stile VERSION ${PROJECT_VERSION}
  SOVERSION ${stile_abi} LINK_DEPENDS ${stile_exports} LIBRARY_OUTPUT_DIRECTORY ${PROJECT_BINARY_DIR}/lib)

install(TARGETS stile_shared EXPORT stile-targets
  LIBRARY COMPONENT library NAMELINK_COMPONENT development
  FILE_SET HEADERS COMPONENT development)
install(EXPORT stile-targets NAMESPACE stile:: DESTINATION ${stile_cmake_dir} COMPONENT development)

configure_package_config_file(${CMAKE_CURRENT_LIST_DIR}/stile-config.cmake.in ${PROJECT_BINARY_DIR}/stile-config.cmake
  INSTALL_DESTINATION ${stile_cmake_dir} NO_SET_AND_CHECK_MACRO)
write_basic_package_version_file(${PROJECT_BINARY_DIR}/stile-config-version.cmake COMPATIBILITY SameMinorVersion)
install(FILES ${PROJECT_BINARY_DIR}/stile-config.cmake ${PROJECT_BINARY_DIR}/stile-config-version.cmake
  DESTINATION ${stile_cmake_dir} COMPONENT development)

file(RELATIVE_PATH stile_pc_to_prefix /prefix/${stile_pkgconfig_dir} /prefix)
string(REGEX REPLACE "/$" "" stile_pc_to_prefix ${stile_pc_to_prefix})
configure_file(${CMAKE_CURRENT_LIST_DIR}/stile.pc.in ${PROJECT_BINARY_DIR}/stile.pc @ONLY)
install(FILES ${PROJECT_BINARY_DIR}/stile.pc DESTINATION ${stile_pkgconfig_dir} COMPONENT development)

# Each component has its documents in the folder of its Debian package, in every installation.
set(stile_doc ${CMAKE_INSTALL_DATAROOTDIR}/doc)
install(DIRECTORY ${PROJECT_SOURCE_DIR}/examples/consumers DESTINATION ${stile_doc}/libstile-dev/examples COMPONENT development)
install(DIRECTORY ${PROJECT_SOURCE_DIR}/examples DESTINATION ${stile_doc}/stile COMPONENT tools PATTERN consumers EXCLUDE)
install(FILES ${PROJECT_SOURCE_DIR}/LICENSE DESTINATION ${stile_doc}/stile RENAME copyright COMPONENT tools)
install(FILES ${PROJECT_SOURCE_DIR}/LICENSE DESTINATION ${stile_doc}/libstile${stile_abi} RENAME copyright COMPONENT library)
install(FILES ${PROJECT_SOURCE_DIR}/LICENSE DESTINATION ${stile_doc}/libstile-dev RENAME copyright COMPONENT development)

foreach(tool stile-net stile-match stile-range stile-coil stile-whip stile-sweep stile-plan stile-design)
  if(TARGET ${tool})
    install(TARGETS ${tool} COMPONENT tools)
  endif()
endforeach()

# The Debian packages, in BUILD/packages.
if(STILE_TOOLS)
  add_custom_target(packages COMMAND ${PROJECT_SOURCE_DIR}/tools/deb/make_packages.sh ${PROJECT_BINARY_DIR} USES_TERMINAL VERBATIM)
  add_dependencies(packages all_tools stile_shared)
endif()

# The API reference, in BUILD/reference; a warning fails.
configure_file(${CMAKE_CURRENT_LIST_DIR}/Doxyfile.in ${PROJECT_BINARY_DIR}/Doxyfile @ONLY)
add_custom_target(reference COMMAND doxygen ${PROJECT_BINARY_DIR}/Doxyfile VERBATIM)
