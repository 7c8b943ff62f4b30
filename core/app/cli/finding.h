/* Photos in which no layer is marked. */
#ifndef DROPWISE_APP_CLI_FINDING_H
#define DROPWISE_APP_CLI_FINDING_H

#include "app/cli/cli.h"
#include "dropwise/book_aims.h"
#include "dropwise/read_find.h"

#define CLI_BACK_OPTION                                                                                      \
  {                                                                                                          \
    "--back", "SIDE",                                                                                        \
        "which side of a bait that was found is its back where the targets don't tell: upper (default) or "  \
        "lower"                                                                                              \
  }

/* How the back is said where only the photo tells it, a line. */
void cli_back_hint(dw_text *out);
#define CLI_SCALE_OPTIONS                                                                                    \
  {"--card-width", "MM",                                                                                     \
   "from the middle of the card's first patch to that of the last in its row: baits and blends are told in " \
   "mm, too; default the book's setting"},                                                                   \
  {                                                                                                          \
    "--bait-height", "MM", "of each bait's body at its highest, by calipers: the same without a card"        \
  }
/* DW_USAGE where one of them is given. */
dw_status cli_scale_refuse(const cli_args *args, dw_error *err);

/* Whether the command marks no layer, neither by an option nor in a marks file: then baits are looked for, in the light
 * that it marks, else by a card that is looked for, too.
 * Errors those of the marks files; DW_USAGE one marks layers, another none */
dw_status cli_searched(const cli_args *args, bool *out, dw_error *err);
/* Of every photo that the command names: cli_marks, and where layers are marked cli_card_search.
 * *marks  NULL before; one a photo, owned by the caller (free), on error too */
dw_status cli_marks_all(const cli_args *args, dw_marks **marks, dw_error *err);
/* Whether the marks of every photo that the command names can be used: told before any photo is read. */
dw_status cli_marks_check(const cli_args *args, dw_error *err);
/* --card-set, --back, CLI_SCALE_OPTIONS, and --layers where the command has it; no light is given.
 * pattern  whose layers the baits have, by order and targets; NULL: as many as the photo shows
 * out      borrows from args and pattern
 * Errors DW_USAGE; DW_BAD_INPUT a pattern of more layers than can be found */
dw_status cli_find_wish(const cli_args *args, const dw_pattern *pattern, dw_find_wish *out, dw_error *err);
/* The book's pattern of that name, where one of the photos has to be searched, or its baits are swirls; else *out is
 * empty. */
dw_status cli_find_pattern(const cli_args *args, const char *name, dw_pattern *out, dw_error *err);
#define CLI_PICTURE_OPTIONS                                                                                  \
  {"--picture", "FILE", "write the photo with what was marked or found drawn in it, as PNG"},                \
      {"--svg", "FILE", "the same as SVG"}, {                                                                \
    "--jobs", "N", "how many photos are read at a time; default as many as there are cores"                  \
  }
/* Whether the files that the options name can hold what is marked or found: that of one photo. */
dw_status cli_find_files_check(const cli_args *args, dw_error *err);
/* The photo with the marked card and layers, where it is wished for: --picture, --svg. */
dw_status cli_marked_pictures(const cli_args *args, const dw_photo_reading *reading, dw_error *err);
/* Writes those that are wished for: --picture, --svg, --html, --save-marks. */
dw_status cli_find_files(const cli_args *args, const dw_find_wish *wish, const dw_found *found,
                         dw_arena *arena, dw_error *err);
enum { CLI_REPORT_SIDE = 1400 }; /* pixels of a report's photo, at most */
/* Decodes a photo that was read already once more, small.  Errors as dw_photo_open */
dw_status cli_preview(const char *path, int side, dw_arena *arena, dw_preview *out, dw_error *err);
/* How many photos are read at a time: --jobs, else one a core. */
dw_status cli_jobs(const cli_args *args, size_t *out, dw_error *err);
/* Runs a job for each of the n photos (dw_pool_run), and says on stderr how far it is where that is a
 * terminal.
 */
void cli_each_photo(size_t n, size_t jobs, void (*job)(void *context, size_t i), void *context);
/* Writes the marks where --save-marks says. */
dw_status cli_save_marks(const cli_args *args, const dw_marks *marks, dw_error *err);

/* What became of one of many photos; zeroed. */
typedef struct cli_photo_result {
  dw_status status;
  dw_error err, remark; /* remark: on a photo that was read all the same */
  bool remarked;
  json_t *json; /* owned; one of the two */
  dw_text text;
} cli_photo_result;
/* Reads the command's photo i, several of them at a time: thread-safe. */
typedef dw_status cli_photo_job(void *context, size_t i, cli_photo_result *out, dw_error *err);
/* Of a failure: puts the photo's name before a sentence that lacks it.  Returns status */
dw_status cli_name_photo(const char *path, dw_status status, dw_error *err);
/* Reports the photos that the command names: of several, those that can be read; each other gets a sentence on
 * stderr, the last of them through err, and the first the exit code. */
dw_status cli_report_photos(const cli_args *args, cli_photo_job *job, void *context, dw_error *err);
/* The same of what is found in them. */
dw_status cli_find_all(const cli_args *args, dw_error *err);

#endif
