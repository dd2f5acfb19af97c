# stile_man(TOOL): the man page TOOL.1.gz, made from what `TOOL --help` and `TOOL --version` say, built and installed
# with the rest. The first line of the help must be the tool's one-line description.
function(stile_man tool)
  set(page ${CMAKE_CURRENT_BINARY_DIR}/${tool}.1.gz)
  add_custom_command(OUTPUT ${page}
    COMMAND ${PROJECT_SOURCE_DIR}/tools/man/make_man.sh $<TARGET_FILE:${tool}> ${page}
    DEPENDS ${tool} ${PROJECT_SOURCE_DIR}/tools/man/make_man.sh
    COMMENT "Making ${tool}.1.gz" VERBATIM)
  add_custom_target(man_${tool} ALL DEPENDS ${page})
  if(PROJECT_IS_TOP_LEVEL)
    install(FILES ${page} DESTINATION ${CMAKE_INSTALL_MANDIR}/man1 COMPONENT tools)
  endif()
endfunction()
