/* Drops of a batch's cups on a white table: whose they are, and what each says of its cup as a bait. docs/drizzle.md */
#ifndef DROPWISE_BATCH_DRIZZLE_H
#define DROPWISE_BATCH_DRIZZLE_H

#include "dropwise/batch.h"
#include "dropwise/mix_film.h"
#include "dropwise/read_drizzle.h"

/* What is in the cup of a drop. */
typedef struct dw_drop_cup {
  bool known; /* false: nobody said */
  dw_recipe loadings;
  dw_slab bait; /* what its color is wanted for */
} dw_drop_cup;

typedef struct dw_drop {
  bool known; /* what is in its cup: then film holds */
  dw_film film;
  const char *verdict; /* "told", "unknown" ...: docs/drizzle.md; static */
  char words[DW_NOTE_TEXT];
} dw_drop;

/* drop[i] is the reading's layer i. */
typedef struct dw_drops_judged {
  size_t n, told;
  dw_drop drop[DW_DRIZZLE_MAX];
  bool swapped;                  /* the drops look as if they were of the cups in another order: */
  size_t like[DW_DRIZZLE_MAX];   /* drop i looks like that of cup like[i] */
  char swap_words[DW_NOTE_TEXT]; /* "" unless swapped */
} dw_drops_judged;

/* cups  of each layer of the reading.  Errors as dw_film_judge */
dw_status dw_drops_judge(const dw_drizzle *drizzle, const dw_shelf *shelf, const dw_drop_cup *cups,
                         dw_drops_judged *out, dw_error *err);
/* What the book says is in the cups of a batch, one for each layer of the pattern.
 * said  a part that is NAN is as in the cup's last pour, else that of 10 mm over gray
 * out   room for pattern->n */
dw_status dw_drop_cups_load(dw_book *book, const dw_pattern *pattern, int64_t batch, const dw_shelf *shelf,
                            const dw_slab *said, dw_drop_cup *out, dw_error *err);
/* Reads a photo of the cups' drops, ready to be kept; its layers come in the pattern's order.
 * given  card and light; the names are the pattern's
 * order  as the option --order, or NULL: in the pattern's own.  photo  dw_read_photo_free, on error too
 * Errors DW_USAGE an order that does not name each layer once; DW_BAD_INPUT too many layers; as dw_drizzle_photo */
dw_status dw_drizzle_of_pattern(const char *path, const dw_drizzle_wish *given, const dw_pattern *pattern,
                                const char *order, dw_drizzle *out, dw_read_photo *photo, dw_error *err);
/* Whose drops lie where, by names.  names  n;  wish  its names and their number are set.  Errors DW_USAGE */
dw_status dw_drizzle_order(const char *order, const char *const *names, size_t n, dw_drizzle_wish *wish,
                           dw_error *err);
/* Puts the reading's layers in the order of the names. */
void dw_drizzle_arrange(const char *const *names, size_t n, dw_drizzle *drizzle);

/* Makes of the photo what is kept of it: the layers that are told, each with its color as a bait and that one's doubt.
 * ordered  a person said in which order they lie
 * Errors   DW_REFUSED nothing is told, or the drops seem to lie in another order and nobody said which: one sentence */
dw_status dw_drops_keepable(const dw_drops_judged *judged, bool ordered, dw_read_photo *photo, dw_error *err);

/* As JSON (docs/drizzle.md); a new reference or NULL.  judged  NULL where no cup is known */
json_t *dw_json_drizzle(const dw_drizzle *drizzle, const dw_drops_judged *judged);

#endif
