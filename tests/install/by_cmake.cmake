# find_package(stile) from the moved tree; the programs are those that were installed with it.
execute_process(COMMAND ${CMAKE_COMMAND} -S ${work}/moved/${consumers} -B ${work}/by_cmake -G ${generator}
  -D CMAKE_PREFIX_PATH=${work}/moved -D CMAKE_BUILD_TYPE=${build_type} -D CMAKE_CXX_COMPILER=${cxx}
  -D "CMAKE_CXX_FLAGS=${flags}" COMMAND_ERROR_IS_FATAL ANY)
load_cache(${work}/by_cmake READ_WITH_PREFIX found_ stile_DIR)
if(NOT found_stile_DIR STREQUAL "${work}/moved/${libdir}/cmake/stile")
  message(FATAL_ERROR "found another stile: ${found_stile_DIR}")
endif()
execute_process(COMMAND ${CMAKE_COMMAND} --build ${work}/by_cmake COMMAND_ERROR_IS_FATAL ANY)
execute_process(COMMAND ${CMAKE_CURRENT_LIST_DIR}/consumers.sh ${work}/by_cmake ${source} COMMAND_ERROR_IS_FATAL ANY)
