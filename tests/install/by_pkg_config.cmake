# pkg-config from the moved tree, one compiler call.
set(ENV{PKG_CONFIG_PATH} ${work}/moved/${libdir}/pkgconfig)
execute_process(COMMAND ${pkg_config} --cflags --libs stile OUTPUT_VARIABLE options OUTPUT_STRIP_TRAILING_WHITESPACE
  COMMAND_ERROR_IS_FATAL ANY)
separate_arguments(options UNIX_COMMAND "${options}")
separate_arguments(flags UNIX_COMMAND "${flags}")
execute_process(COMMAND ${cxx} -std=c++20 ${flags} ${consumer}/main.cpp ${options} -o ${work}/by_pkg_config
  COMMAND_ERROR_IS_FATAL ANY)
execute_process(COMMAND ${CMAKE_COMMAND} -E env LD_LIBRARY_PATH=${work}/moved/${libdir} ${work}/by_pkg_config
  COMMAND_ERROR_IS_FATAL ANY)
