# Puts the files of a folder into a library, as the table that src/server/assets.h declares.
#
#   runtrue_embed(NAME FOLDER DEPENDS files...)
#
# The names in FOLDER need not be known beforehand: this file runs again as a script at build time, lists them, presses
# each with gzip where that saves a tenth or more, and writes NAME.S (the bytes, by .incbin) and NAME.cc (the table: path,
# kind, SHA-256 of the plain bytes as the ETag). index.html is the page and is asked for as "/"; what lies in assets/ is
# named after its content by the page's build.

if(NOT CMAKE_SCRIPT_MODE_FILE)
  set(runtrue_embed_script ${CMAKE_CURRENT_LIST_FILE})

  function(runtrue_embed name folder)
    cmake_parse_arguments(arg "" "" "DEPENDS" ${ARGN})
    set(out ${CMAKE_CURRENT_BINARY_DIR}/${name})
    add_custom_command(OUTPUT ${out}.S ${out}.cc
      COMMAND ${CMAKE_COMMAND} -DFOLDER=${folder} -DOUT=${out} -P ${runtrue_embed_script}
      DEPENDS ${runtrue_embed_script} ${arg_DEPENDS}
      COMMENT "Embedding ${folder}" VERBATIM)
    add_library(${name} STATIC ${out}.S ${out}.cc)
    set_source_files_properties(${out}.S PROPERTIES OBJECT_DEPENDS ${out}.cc)
    target_link_libraries(${name} PUBLIC runtrue_flags)
  endfunction()

  # The page, built by the tools of web/ into this build's own folder.
  function(runtrue_embed_page)
    set(web ${CMAKE_SOURCE_DIR}/web)
    set(dist ${CMAKE_BINARY_DIR}/page)
    file(GLOB_RECURSE sources CONFIGURE_DEPENDS ${web}/src/* ${web}/public/*)
    file(GLOB settings CONFIGURE_DEPENDS ${web}/*.html ${web}/*.ts ${web}/*.json)
    add_custom_command(OUTPUT ${dist}/index.html
      COMMAND ${CMAKE_COMMAND} -DWEB=${web} -P ${runtrue_embed_script}
      COMMAND npm run --silent build -- --outDir ${dist} --emptyOutDir --logLevel warn
      WORKING_DIRECTORY ${web} DEPENDS ${sources} ${settings}
      COMMENT "Building the page" VERBATIM)
    runtrue_embed(runtrue_page ${dist} DEPENDS ${dist}/index.html)
  endfunction()
  return()
endif()

cmake_minimum_required(VERSION 3.25)
if(WEB)
  if(NOT EXISTS ${WEB}/node_modules)
    message(FATAL_ERROR "web/node_modules is not there: run 'npm ci --ignore-scripts' in web/ first, or build with ./dev build")
  endif()
  return()
endif()

# What a file is, by its ending; anything else may not lie in the folder.
set(kind_html "text/html; charset=utf-8")
set(kind_js "text/javascript; charset=utf-8")
set(kind_css "text/css; charset=utf-8")
set(kind_svg "image/svg+xml")
set(kind_png "image/png")
set(kind_json "application/json")
set(kind_webmanifest "application/manifest+json")
set(kind_txt "text/plain; charset=utf-8")

file(GLOB_RECURSE files LIST_DIRECTORIES false RELATIVE ${FOLDER} ${FOLDER}/*)
list(SORT files)
if(NOT "index.html" IN_LIST files)
  message(FATAL_ERROR "${FOLDER} has no index.html: the page was not built")
endif()
get_filename_component(name ${OUT} NAME)
set(pressed_folder ${OUT}.gz)
file(REMOVE_RECURSE ${pressed_folder})
file(MAKE_DIRECTORY ${pressed_folder})

set(assembly "        .section .rodata\n")
set(symbols "")
set(rows "")
set(count 0)
foreach(file IN LISTS files)
  get_filename_component(ending ${file} LAST_EXT)
  string(SUBSTRING "${ending}" 1 -1 ending)
  if(NOT DEFINED kind_${ending})
    message(FATAL_ERROR "${FOLDER}/${file}: what is a .${ending}? Known are html js css svg png json webmanifest txt")
  endif()
  if(file MATCHES "[\"\\\\]")
    message(FATAL_ERROR "${FOLDER}/${file}: a name with quotes can't be embedded")
  endif()
  set(pressed ${pressed_folder}/${count}.gz)
  execute_process(COMMAND gzip -9 -n -c ${FOLDER}/${file} OUTPUT_FILE ${pressed} COMMAND_ERROR_IS_FATAL ANY)
  file(SIZE ${FOLDER}/${file} plain_size)
  file(SIZE ${pressed} pressed_size)
  file(SHA256 ${FOLDER}/${file} sum)
  math(EXPR most_pressed "${plain_size} * 9 / 10")

  set(path "/${file}")
  if(file STREQUAL "index.html")
    set(path "/")
  endif()
  set(by_content false)
  if(file MATCHES "^assets/")
    set(by_content true)
  endif()
  set(plain_symbol ${name}_${count})
  # The sum stands in the text so that new bytes under an old name are assembled again.
  string(APPEND assembly "/* ${sum} */\n        .global ${plain_symbol}\n${plain_symbol}:\n"
    "        .incbin \"${FOLDER}/${file}\"\n")
  string(APPEND symbols "extern const char ${plain_symbol}[];\n")
  set(pressed_view "{}")
  if(pressed_size LESS_EQUAL most_pressed)
    string(APPEND assembly "        .global ${plain_symbol}_gz\n${plain_symbol}_gz:\n        .incbin \"${pressed}\"\n")
    string(APPEND symbols "extern const char ${plain_symbol}_gz[];\n")
    set(pressed_view "{${plain_symbol}_gz, ${pressed_size}}")
  endif()
  string(APPEND rows "    {\"${path}\", \"${kind_${ending}}\", \"\\\"${sum}\\\"\",\n"
    "     {${plain_symbol}, ${plain_size}}, ${pressed_view}, ${by_content}},\n")
  math(EXPR count "${count} + 1")
endforeach()
string(APPEND assembly "        .section .note.GNU-stack,\"\",%progbits\n")

file(WRITE ${OUT}.S "${assembly}")
file(WRITE ${OUT}.cc "// Made by cmake/Embed.cmake from the page's build.
#include \"server/assets.h\"

extern \"C\" {
${symbols}}

namespace runtrue {
namespace {
const Asset kAssets[] = {
${rows}};
}  // namespace

std::span<const Asset> page_assets() { return kAssets; }

}  // namespace runtrue
")
