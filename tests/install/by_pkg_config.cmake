# pkg-config from the moved tree, one compiler call a program.
set(ENV{PKG_CONFIG_PATH} ${work}/moved/${libdir}/pkgconfig)
set(ENV{LD_LIBRARY_PATH} ${work}/moved/${libdir})
execute_process(COMMAND ${pkg_config} --cflags --libs stile OUTPUT_VARIABLE options OUTPUT_STRIP_TRAILING_WHITESPACE
  COMMAND_ERROR_IS_FATAL ANY)
separate_arguments(options UNIX_COMMAND "${options}")
separate_arguments(flags UNIX_COMMAND "${flags}")
file(MAKE_DIRECTORY ${work}/by_pkg_config)
foreach(program network tuner_range coil_q)
  execute_process(COMMAND ${cxx} -std=c++20 ${flags} ${work}/moved/${consumers}/${program}.cpp ${options}
    -o ${work}/by_pkg_config/${program} COMMAND_ERROR_IS_FATAL ANY)
endforeach()
execute_process(COMMAND ${CMAKE_CURRENT_LIST_DIR}/consumers.sh ${work}/by_pkg_config ${source} COMMAND_ERROR_IS_FATAL ANY)
