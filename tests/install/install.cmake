# Installs into one folder, renames it, and looks for paths that would still point to the old place or to the build.
file(REMOVE_RECURSE ${work})
execute_process(COMMAND ${CMAKE_COMMAND} --install ${build} --prefix ${work}/first COMMAND_ERROR_IS_FATAL ANY)
file(RENAME ${work}/first ${work}/moved)

file(GLOB_RECURSE texts ${work}/moved/*.cmake ${work}/moved/*.pc)
list(LENGTH texts count)
if(count LESS 5)         # config, version, targets, targets of the build type, pkg-config
  message(FATAL_ERROR "package files are missing; there are only: ${texts}")
endif()
foreach(text IN LISTS texts)
  file(READ ${text} content)
  string(FIND "${content}" "${build}" at)
  if(NOT at EQUAL -1)
    message(FATAL_ERROR "${text} names a place outside the installed tree")
  endif()
endforeach()
