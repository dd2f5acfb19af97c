# stile_completion(TOOL): what bash and fish complete, asked of the tool itself, built and installed with the rest.
function(stile_completion tool)
  set(bash ${CMAKE_CURRENT_BINARY_DIR}/completion/${tool})
  set(fish ${CMAKE_CURRENT_BINARY_DIR}/completion/${tool}.fish)
  add_custom_command(OUTPUT ${bash} ${fish}
    COMMAND ${CMAKE_COMMAND} -E make_directory ${CMAKE_CURRENT_BINARY_DIR}/completion
    COMMAND ${tool} --completion bash -o ${bash}
    COMMAND ${tool} --completion fish -o ${fish}
    DEPENDS ${tool}
    COMMENT "Making the completions of ${tool}" VERBATIM)
  add_custom_target(completion_${tool} ALL DEPENDS ${bash} ${fish})
  if(PROJECT_IS_TOP_LEVEL)
    install(FILES ${bash} DESTINATION ${CMAKE_INSTALL_DATAROOTDIR}/bash-completion/completions COMPONENT tools)
    install(FILES ${fish} DESTINATION ${CMAKE_INSTALL_DATAROOTDIR}/fish/vendor_completions.d COMPONENT tools)
  endif()
endfunction()
