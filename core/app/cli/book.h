/* What the commands that work on the book share. */
#ifndef DROPWISE_APP_CLI_BOOK_H
#define DROPWISE_APP_CLI_BOOK_H

#include "app/cli/finding.h"
#include "dropwise/batch_advice.h"
#include "dropwise/names.h"
#include "dropwise/report_drift.h"

/* ---- commands made of smaller ones --------------------------------------------------------------------- */

typedef struct cli_verb {
  const char *name;            /* "add" */
  const char *usage;           /* behind "dropwise pattern add " */
  size_t min_words, max_words; /* behind the verb: args->word[1] ... */
  dw_status (*run)(const cli_args *args, dw_error *err);
} cli_verb;
/* Runs the one that the first word names; verbs end with a NULL name. */
dw_status cli_verb_run(const cli_args *args, const cli_verb *verbs, dw_error *err);

/* ---- the book ------------------------------------------------------------------------------------------ */

dw_status cli_book_path(const cli_args *args, char *out, size_t room, dw_error *err);
/* Opens --book or the default one in a transaction: for reading it must be there, for writing it is made.
 * *out is to be closed on error too. */
dw_status cli_book_read(const cli_args *args, dw_book **out, dw_error *err);
dw_status cli_book_write(const cli_args *args, dw_book **out, dw_error *err);
/* The settings of --book or the default one; the defaults where there is none, too.
 * is_set  which of them somebody set, DW_SETTINGS_COUNT; or NULL.  Errors as cli_book_read */
dw_status cli_settings_load(const cli_args *args, dw_settings *out, bool *is_set, dw_error *err);
/* Commits when status is DW_OK, and closes. */
dw_status cli_book_done(dw_book *book, dw_status status, dw_error *err);
/* Behind a commit: tells cli_kept what stands in the book then, "The target was kept"; where nothing changed
 * that is said on stderr instead. */
void cli_book_kept(const cli_args *args, const char *what, const dw_book *book);
/* cli_book_done behind cli_book_write, with cli_book_kept. */
dw_status cli_book_keep(const cli_args *args, const char *what, dw_book *book, dw_status status,
                        dw_error *err);
/* Commits one change, closes, and answers with the words of its entry, or that nothing changes. */
dw_status cli_say_change(const cli_args *args, dw_book *book, dw_status status, dw_error *err);
/* The same; then  a sentence for a person on what follows from a change */
dw_status cli_say_change_and(const cli_args *args, dw_book *book, dw_status status, const char *then,
                             dw_error *err);
/* Prints one of the two forms of a result; takes both. */
dw_status cli_say(const cli_args *args, json_t *json, dw_text *text, dw_error *err);
/* Writes an export to a file, and says where it is. */
dw_status cli_export_file(const cli_args *args, const char *path, const char *bytes, size_t n, dw_error *err);
/* cli_book_done, then cli_say where all went well; takes both forms. */
dw_status cli_book_say(const cli_args *args, dw_book *book, dw_status status, json_t *json, dw_text *text,
                       dw_error *err);

/* "creek crawfish/belly" apart at its last slash; false without one, or with a name that is too long.
 * layer  borrows from text */
bool cli_split_layer(const char *text, char pattern[DW_PATTERN_NAME_ROOM], const char **layer);

/* The number of a thing in the book, as a word of the command.
 * what, list  for the message: "chip", and the command that shows the numbers */
dw_status cli_id(const char *text, const char *what, const char *list, int64_t *out, dw_error *err);

/* ---- the name of a batch ---------------------------------------------------------------------------------
 */

#define CLI_NEW_OPTION                                                                                       \
  { "--new", NULL, "the batch is a new one: a name that the pattern has no batch of needs this" }
/* Passes where the batch that the option (--batch, --to-batch) names is there, or may be begun: --new says
 * so, a person at a terminal says so when asked, or the pattern has none yet, so that no other can be meant.
 * Before anything is written: it may wait for the answer. Errors DW_USAGE the name is not known and nobody
 * said that it is new; names the nearest */
dw_status cli_batch_ask(const cli_args *args, const char *pattern_name, const char *option, dw_error *err);
/* The batch of a name that cli_batch_ask passed: found, or begun.  name NULL: a new one with the next number.
 * In a transaction.  Errors DW_USAGE --new, and there is one of that name already; else as dw_batch_find */
dw_status cli_batch_take(const cli_args *args, dw_book *book, int64_t pattern, const char *name,
                         dw_batch *out, dw_error *err);

/* A batch that there is, by its pattern's name and its own.  Errors as dw_pattern_find, dw_batch_find */
dw_status cli_batch_find(dw_book *book, const char *pattern_name, const char *name, dw_pattern *pattern,
                         dw_batch *batch, dw_error *err);
/* What is said of a batch, in both forms; *out a new reference. */
typedef dw_status cli_batch_put(const cli_args *args, dw_book *book, const dw_pattern *pattern,
                                const dw_batch *batch, json_t **out, dw_text *text, dw_error *err);
/* Says it. */
dw_status cli_batch_say(const cli_args *args, const char *pattern_name, const char *name, cli_batch_put *put,
                        dw_error *err);

/* ---- photos that the book is to keep ------------------------------------------------------------------- */

/* --photo, --back, CLI_LIGHT_OPTIONS, --region */
#define CLI_PHOTO_OPTIONS                                                                                    \
  {"--photo", "PHOTO",                                                                                       \
   "read it from this photo, where no layer is marked from every bait found in it; may be repeated"},        \
      CLI_BACK_OPTION, CLI_LIGHT_OPTIONS, {                                                                  \
    "--region", "SHAPE", "where the layer is: rect:X,Y,WxH, ellipse:CX,CY,RXxRY or poly:X,Y;X,Y;..."         \
  }

enum { CLI_PHOTOS_MAX = 32, CLI_BAITS_MAX = 256 };
/* Photos as read: each as it was marked, or once for every bait found in it. */
typedef struct cli_photos {
  size_t n;                          /* at most CLI_BAITS_MAX */
  dw_read_photo *photo;              /* n; owned */
  size_t shots, shot[CLI_BAITS_MAX]; /* how many photos, and which of them photo[i] is of */
  bool back_open;                    /* what the back of a found bait is may be said with --back */
  dw_notes notes;                    /* of what was found */
} cli_photos;
/* Adds the photo, shot number `out->shots`: by its marks, or with a wish by what is found in it.
 * marks, wish  one of the two is NULL, unless marked areas are read as a wish's swirls.  Errors as dw_photo_read,
 *              dw_found_photos, dw_swirl_photos; DW_USAGE too many baits */
dw_status cli_photos_add(const char *path, const dw_marks *marks, const dw_find_wish *wish, cli_photos *out,
                         dw_error *err);
/* The same with a wish, and writes what cli_find_files writes.  args  NULL: no file */
dw_status cli_photos_find(const cli_args *args, const char *path, const dw_find_wish *wish, cli_photos *out,
                          dw_error *err);
/* Appends the photos of another, which are out's then.  Errors DW_USAGE too many baits */
dw_status cli_photos_join(cli_photos *from, cli_photos *out, dw_error *err);
/* Reads every --photo.  layer: what --region marks, or NULL where that makes no sense.
 * wish  what is found where no layer is marked; NULL: there must be marks
 * *out  by cli_photos_free, on error too */
dw_status cli_photos_read(const cli_args *args, const char *layer, const dw_find_wish *wish, cli_photos *out,
                          dw_error *err);
/* The same with the layers of the book's pattern; nothing without --photo.  To be called before the book is locked
 * for writing. */
dw_status cli_photos_of_pattern(const cli_args *args, const char *name, const char *layer, cli_photos *out,
                                dw_error *err);
void cli_photos_free(cli_photos *photos);
/* "shot.jpg: 12 baits were found.", and what is to be known of them; nothing of marked photos. */
void cli_photos_say(const cli_photos *photos, dw_text *out);
/* Adds photos[{path, baits}] and warnings[] to an object that it takes; NULL when out of memory. */
json_t *cli_photos_json(const cli_photos *photos, json_t *json);
/* Which bait photo i of n shows, from 0: --bait once for all, or one each. */
dw_status cli_bait_of(const cli_args *args, size_t i, size_t n, int *out, dw_error *err);
/* The number of each bait in the batch, from 0: by --bait that of a photo's first one. Without it a photo of
 * one bait shows the first; several are numbered on from those of the batch, in a photo that the batch has
 * already as before.  out  photos->n */
dw_status cli_baits_number(const cli_args *args, dw_book *book, int64_t batch, const cli_photos *photos,
                           int *out, dw_error *err);
/* The reading of a layer in every photo, or found bait, and their mean; DW_NOT_FOUND names the photo that
 * lacks it.
 * spread_de00  of several: root mean square distance from the mean; 0 for one */
dw_status cli_photos_mean(const cli_photos *photos, const char *layer, dw_reading *mean, double *spread_de00,
                          dw_error *err);

/* The batch that --batch names, else the pattern's last.  Errors DW_NOT_FOUND */
dw_status cli_reading_batch(const cli_args *args, dw_book *book, const dw_pattern *pattern, dw_batch *out,
                            dw_error *err);
/* A reading of a batch, on a line; the same for scripts. */
void cli_reading_text(const dw_reading_kept *r, const dw_style *style, dw_text *out);
json_t *cli_reading_json(const dw_reading_kept *r);

/* ---- what pours taught --------------------------------------------------------------------------------- */

/* What changed of these bottles (bits; UINT64_MAX: of all). */
void cli_learned_text(const dw_learned *learned, uint64_t bottles, dw_text *out);
json_t *cli_learned_json(const dw_shelf *shelf, const dw_learned *learned);

/* The question of --pattern, and of --batch where it is given (dw_batch_question_load).
 * shelf    gets what the pattern's cups hold beside it
 * pattern  zeroed;  *book  to be closed on error too */
dw_status cli_book_question(const cli_args *args, dw_shelf *shelf, const dw_cup *fresh, const dw_slab *said,
                            dw_book **book, dw_pattern *pattern, dw_batch_question *out, dw_error *err);

#endif
