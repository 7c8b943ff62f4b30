# find_package(dropwise-plugin): the target dropwise::plugin, which has the header's folder. The files lie in
# PREFIX/share/cmake/dropwise-plugin.
get_filename_component(dropwise_prefix "${CMAKE_CURRENT_LIST_DIR}/../../.." ABSOLUTE)
if(NOT TARGET dropwise::plugin)
  add_library(dropwise::plugin INTERFACE IMPORTED)
  set_target_properties(dropwise::plugin PROPERTIES INTERFACE_INCLUDE_DIRECTORIES "${dropwise_prefix}/include")
endif()
set(dropwise_plugin_template "${dropwise_prefix}/share/dropwise/plugins/template")
unset(dropwise_prefix)
