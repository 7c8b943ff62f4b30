/* The bench is a program of its own, dropwise-bench: the libraries of its server need longer to load than a
 * photo's layers to read, and no other command has a use for them. */
#include "app/cli/cli.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

static const cli_option options[] = {
    {"--port", "N", "the port to serve on; default 8321, 0 for any free one"},
    {"--lan", NULL, "let a phone on the same network in, after it has given the code shown here"},
    {NULL, NULL, NULL},
};

/* Becomes that program, with the same words; its arguments were looked at here. */
static dw_status run(const cli_args *args, dw_error *err) {
  char path[CLI_FOLDER_ROOM], *words[CLI_OPTIONS_MAX * 2 + CLI_WORDS_MAX + 2];
  size_t n = 0;
  if (!cli_beside_program("dropwise-bench", path))
    return dw_fail(err, DW_IO,
                   "The bench's own program, dropwise-bench, is not beside dropwise; install both.");
  words[n++] = path;
  for (char **word = args->given; *word; word++) words[n++] = *word;
  words[n] = NULL;
  execv(path, words);
  return dw_fail(err, DW_IO, "The bench's own program can't be started: %s: %s.", path, strerror(errno));
}

const cli_command cli_bench = {
    .name = "bench",
    .summary = "the page to see, mark and mix",
    .usage = "[--port N] [--lan]",
    .about =
        "Serves a page for a browser on this computer until Control-C: photos, cups, patterns, bottles.\n"
        "With --lan a phone on the same network may use it too, once it has given the code shown here;\n"
        "what they say to each other is not encrypted, so use it on a network that you trust.",
    .example = "dropwise bench --lan",
    .options = options,
    .run = run,
    .settings = true,
};
