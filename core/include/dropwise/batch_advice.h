/* The one adviser. Of a layer's cup there are two questions: how to correct it, and what goes into the next
 * one. Whoever asks, the command line or the page, for whichever command, asks here: one prediction (with
 * what was measured carried along, readings judged, lots and learned strengths), one set of limits, one
 * order. */
#ifndef DROPWISE_BATCH_ADVICE_H
#define DROPWISE_BATCH_ADVICE_H

#include "dropwise/batch.h"

/* ---- the question -------------------------------------------------------------------------------------- */

/* Large: on the heap. */
typedef struct dw_batch_question {
  dw_book *book;             /* what is remembered; NULL: nothing */
  const dw_pattern *pattern; /* whose history counts, layer by name; NULL: none */
  const dw_plugins *plugins;
  double
      usual_floz; /* of a fresh cup where no volume is said and none is remembered; 0: DW_USUAL_VOLUME_FLOZ */
  /* As for dw_advise. A layer with an empty cup and no measured color asks for the next cup: a volume of 0 is
   * then that of its last cup. Of other cups a volume of 0 is usual_floz; a capacity of 0 goes by the
   * volume. */
  dw_advice_request request;
  dw_notes left_out; /* layers that can't be advised on, and why */
} dw_batch_question;

/* The book, the pattern (which may be NULL), and what the book says of every cup: its settings and the
 * bottles that the pattern is to get nothing of.  out  its shelf is set */
dw_status dw_batch_question_begin(dw_book *book, const dw_pattern *pattern, dw_batch_question *out,
                                  dw_error *err);
/* Begins, and fills the request: the pattern's layers that have a target or a tone, with the cups of a batch
 * as they are and what was measured of them; a layer without a cup there asks for its next one.
 * batch  0: all ask for their next cup
 * fresh  volume and capacity of cups that are to be filled; 0: as last
 * said   where the plastic is looked at; a part that is NAN: as in the newest pour of the batch, or of the
 *        pattern, else 10 mm over gray
 * out    zeroed but for plugins; the shelf is borrowed */
dw_status dw_batch_question_load(dw_book *book, const dw_pattern *pattern, int64_t batch,
                                 const dw_shelf *shelf, const dw_cup *fresh, const dw_slab *said,
                                 dw_batch_question *out, dw_error *err);
/* The request's layer of that name, or its number of layers. */
size_t dw_request_layer_find(const dw_advice_request *request, const char *name);
/* Sets the layers of a reading against the request's of the same name.
 * Errors DW_NOT_FOUND a layer of the request that the photo does not have */
dw_status dw_request_take_reading(const dw_photo_reading *reading, dw_advice_request *request, dw_error *err);

/* ---- the answer ---------------------------------------------------------------------------------------- */

/* The next cup of a layer, in words. */
typedef struct dw_next_cup {
  bool known;    /* false: words alone */
  bool has_good; /* there was a good batch, and what was in its cup is known: */
  char good_batch[DW_BATCH_NAME_ROOM], good_recipe[DW_NOTE_TEXT];
  char good_words[2 * DW_NOTE_TEXT]; /* "Last good batch, 3 May (7): orange 28, white 1" */
  char recipe[DW_NOTE_TEXT];         /* "orange=11;brown=5" */
  dw_recipe add;                     /* the same */
  char last[DW_NOTE_TEXT];           /* what was in the last cup */
  double volume_floz;
  double predicted_de00; /* to the aim: */
  const char *aim;       /* dw_advice_aim_name; static */
  dw_lab predicted;
  char words[DW_NOTE_TEXT]; /* "1 drop less of orange, 1 more of brown" */
} dw_next_cup;

typedef struct dw_batch_advice {
  dw_advice_request
      request; /* as it was put: volumes and capacities filled in; borrows what the question's did */
  dw_advice_result *result;        /* owned */
  bool fills[DW_LAYERS_MAX];       /* the layer's cup is to be filled: */
  dw_next_cup next[DW_LAYERS_MAX]; /* its first advice */
} dw_batch_advice;

/* Asks.  For a cup that is to be filled the last good one, scaled to the volume, is one of the proposals (its
 * plugin is "again"), and the first one unless what was learned since speaks against it. Another volume
 * scales the recipe.
 * out  the caller's, dw_batch_advice_free
 * Errors as dw_advise */
dw_status dw_batch_advise(const dw_batch_question *question, dw_batch_advice **out, dw_error *err);
/* A layer's cup when its first advice is done. False where nothing is to be added, or there is no such layer. */
bool dw_batch_advised_cup(const dw_batch_advice *advice, const char *layer, dw_cup *out);
/* The next cups of a pattern, each at the volume of its last one; *out NULL where no layer has a target. */
dw_status dw_batch_advise_next(dw_book *book, const dw_pattern *pattern, const dw_plugins *plugins,
                               const dw_shelf *shelf, dw_batch_advice **out, dw_error *err);
void dw_batch_advice_free(dw_batch_advice *advice); /* NULL is fine */

#endif
