/* What the commands that work on the book share. */
#ifndef POURTONE_APP_CLI_BOOK_H
#define POURTONE_APP_CLI_BOOK_H

#include "app/cli/cli.h"
#include "app/keep.h"
#include "pourtone/report_drift.h"

/* ---- commands made of smaller ones --------------------------------------------------------------------- */

typedef struct cli_verb {
  const char *name;            /* "add" */
  const char *usage;           /* behind "pourtone pattern add " */
  size_t min_words, max_words; /* behind the verb: args->word[1] ... */
  pt_status (*run)(const cli_args *args, pt_error *err);
} cli_verb;
/* Runs the one that the first word names; verbs end with a NULL name. */
pt_status cli_verb_run(const cli_args *args, const cli_verb *verbs, pt_error *err);

/* ---- the book ------------------------------------------------------------------------------------------ */

pt_status cli_book_path(const cli_args *args, char *out, size_t room, pt_error *err);
/* Opens --book or the default one in a transaction: for reading it must be there, for writing it is made.
 * *out is to be closed on error too. */
pt_status cli_book_read(const cli_args *args, pt_book **out, pt_error *err);
pt_status cli_book_write(const cli_args *args, pt_book **out, pt_error *err);
/* Commits when status is PT_OK, and closes. */
pt_status cli_book_done(pt_book *book, pt_status status, pt_error *err);
/* Prints one of the two forms of a result; takes both. */
pt_status cli_say(const cli_args *args, json_t *json, pt_text *text, pt_error *err);

/* ---- photos that the book is to keep ------------------------------------------------------------------- */

/* --photo, --marks, --card, --card-set, --gray, --gray-y, --region */
#define CLI_PHOTO_OPTIONS                                                                                    \
  {"--photo", "PHOTO", "read it from this photo; may be repeated for several photos"},                       \
      {"--marks", "FILE",                                                                                    \
       "marks saved before: card, gray patch and layers; one for all photos, or one each"},                  \
      {"--card", "X1,Y1,...,X4,Y4",                                                                          \
       "centers of the card's corner patches: first, end of first row, last, start of last row"},            \
      {"--card-set", "SET",                                                                                  \
       "which card: grid24 (the usual 24 patches, of whichever edition), grid24-2005, grid24-2014, or a "    \
       "CGATS file; default the marks' own, else grid24"},                                                   \
      {"--gray", "SHAPE", "one gray patch instead of a card"},                                               \
      {"--gray-y", "Y", "its luminance factor, 0 to 1; default 0.18"}, {                                     \
    "--region", "SHAPE", "where the layer is: rect:X,Y,WxH, ellipse:CX,CY,RXxRY or poly:X,Y;X,Y;..."         \
  }

enum { CLI_PHOTOS_MAX = 32 };
typedef struct cli_photos {
  size_t n;
  pt_read_photo *photo; /* n; owned */
} cli_photos;
/* Reads every --photo.  layer: what --region marks, or NULL where that makes no sense.
 * *out  by cli_photos_free, on error too */
pt_status cli_photos_read(const cli_args *args, const char *layer, cli_photos *out, pt_error *err);
void cli_photos_free(cli_photos *photos);
/* The reading of a layer in every photo and their mean; PT_NOT_FOUND names the photo that lacks it.
 * spread_de00  of several photos: root mean square distance from the mean; 0 for one */
pt_status cli_photos_mean(const cli_photos *photos, const char *layer, pt_reading *mean, double *spread_de00,
                          pt_error *err);

/* ---- what pours taught --------------------------------------------------------------------------------- */

/* What changed of these bottles (bits; UINT64_MAX: of all). */
void cli_learned_text(const pt_learned *learned, uint64_t bottles, pt_text *out);
json_t *cli_learned_json(const pt_shelf *shelf, const pt_learned *learned);

/* The next cup of every layer of --pattern (PT_PATTERN_LAYERS_MAX). */
pt_status cli_book_next(const cli_args *args, const pt_shelf *shelf, pt_next_cup *out, size_t *n,
                        pt_error *err);

/* Takes back the readings of a pattern that were logged last: of --batch and --layer when given. */
pt_status cli_readings_undo(const cli_args *args, const char *pattern, pt_error *err);

#endif
