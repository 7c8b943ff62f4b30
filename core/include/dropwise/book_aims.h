/* The book: patterns with their layers, targets with their history, tones. */
#ifndef DROPWISE_BOOK_AIMS_H
#define DROPWISE_BOOK_AIMS_H

#include "dropwise/book.h"

/* ---- patterns ------------------------------------------------------------------------------------------ */

enum {
  DW_PATTERN_NAME_ROOM = 64,
  DW_PATTERN_LAYERS_MAX = 8,
  DW_TONE_NAME_ROOM = 64,
  DW_TONE_COLORS_MAX = 500
};

typedef enum dw_target_how {
  DW_TARGET_PHOTO,
  DW_TARGET_PHOTOS,
  DW_TARGET_NUMBERS,
  DW_TARGET_LAYER
} dw_target_how;
const char *dw_target_how_words(dw_target_how how); /* "from a photo" */

typedef struct dw_pattern_layer {
  int64_t id;
  char name[DW_ID_ROOM];
  double see_through; /* wanted contrast ratio, or -1 */
  double share;       /* of a swirl's color: wanted, of the bait; -1: any */
  bool has_target;
  dw_lab target;
  double target_uncertainty_de00;
  dw_target_how target_how;
  char target_since[DW_TIME_ROOM];
  bool target_no_card; /* from photos of which one at least had no card and no gray patch */
  int64_t tone;        /* of natural colors, with at least one; 0: none */
  char tone_name[DW_TONE_NAME_ROOM];
} dw_pattern_layer;

typedef struct dw_pattern {
  int64_t id;
  char name[DW_PATTERN_NAME_ROOM];
  char note[DW_BOOK_NOTE_ROOM];
  char created[DW_TIME_ROOM];
  char unwanted[DW_UNWANTED_ROOM]; /* bottles that its cups are to get nothing of: "green,blue"; "" */
  bool clean_blends;               /* no two neighbors are to turn muddy where they meet */
  bool swirl;                      /* its layers are the colors of a swirl, without order */
  size_t batches;
  size_t n;
  dw_pattern_layer layer[DW_PATTERN_LAYERS_MAX]; /* in order, back first */
} dw_pattern;

/* In a transaction: add, rename, set and remove.
 * Errors DW_BAD_INPUT a name or note that is empty, too long, or there already; DW_NOT_FOUND */
dw_status dw_pattern_add(dw_book *book, const char *name, const char *note, const char *const *layers,
                         size_t n, int64_t *id, dw_error *err);
dw_status dw_pattern_rename(dw_book *book, int64_t id, const char *name, dw_error *err);
dw_status dw_pattern_set_note(dw_book *book, int64_t id, const char *note, dw_error *err);
/* contrast_ratio -1 takes the wish back */
dw_status dw_pattern_set_see_through(dw_book *book, int64_t layer, double contrast_ratio, dw_error *err);
/* The layer's natural colors: where it has no target it is led there, where it has one it is held against
 * them. tone  its name; NULL takes it back.  Errors DW_NOT_FOUND, DW_TOO_FEW the tone has no color */
dw_status dw_pattern_set_tone(dw_book *book, int64_t layer, const char *tone, dw_error *err);
/* bottles  "green,blue" of the book or the starter shelf; "" takes all back */
dw_status dw_pattern_set_unwanted(dw_book *book, int64_t id, const char *bottles, dw_error *err);
dw_status dw_pattern_set_clean_blends(dw_book *book, int64_t id, bool clean, dw_error *err);
/* Its 2 or 3 layers are the colors of a swirl, or again layers in order (swirl false: percent is not looked at).
 * percent  wanted of each, n of them; n 0: any
 * Errors   DW_BAD_INPUT it has more layers, or one alone; other shares than dw_plan_shares takes */
dw_status dw_pattern_set_swirl(dw_book *book, int64_t id, bool swirl, const double *percent, size_t n,
                               dw_error *err);
/* The same of a pattern as it was got.  Errors DW_BAD_INPUT why it can be no swirl */
dw_status dw_pattern_swirl_check(const dw_pattern *pattern, dw_error *err);
/* With its targets, batches, readings and benches. */
dw_status dw_pattern_remove(dw_book *book, int64_t id, dw_error *err);
dw_status dw_pattern_find(dw_book *book, const char *name, dw_pattern *out, dw_error *err);
dw_status dw_pattern_get(dw_book *book, int64_t id, dw_pattern *out, dw_error *err);
/* By name. */
dw_status dw_pattern_list(dw_book *book, dw_pattern **out, size_t *n, dw_error *err);
/* It has a target or a tone: something can be advised. */
bool dw_pattern_layer_aimed(const dw_pattern_layer *layer);
/* Of the layer with that id; "" where it has none.  Borrows from pattern */
const char *dw_pattern_layer_name(const dw_pattern *pattern, int64_t id);
/* The layer of that name; DW_NOT_FOUND lists the layers that there are. */
dw_status dw_pattern_layer_find(const dw_pattern *pattern, const char *name, const dw_pattern_layer **out,
                                dw_error *err);

/* ---- targets ------------------------------------------------------------------------------------------- */

typedef struct dw_target {
  dw_lab lab;
  double uncertainty_de00; /* of its reading, or the spread of several; 0 for numbers */
  dw_target_how how;
  int64_t photo;      /* its row, or 0 */
  const char *detail; /* JSON object: marks and light of the photos, or the layer it was taken from (with
                         "no_card"); NULL: {} */
} dw_target;
/* What a layer's target is for another layer: taken over as it is now.
 * detail  what out->detail points to; owned by the caller (free). Errors DW_NOT_FOUND it has none */
dw_status dw_target_of_layer(const dw_pattern *pattern, const dw_pattern_layer *layer, dw_target *out,
                             char **detail, dw_error *err);
/* "No card: this target can be off by 6."; "" for one that is well known. */
void dw_target_doubt_words(bool no_card, double uncertainty_de00, char *out, size_t room);
/* Sets a layer's target; the one before stays as history. In a transaction.
 * Errors DW_BAD_INPUT a color out of range, a detail that is no JSON object */
dw_status dw_target_set(dw_book *book, int64_t layer, const dw_target *target, dw_error *err);

typedef struct dw_target_past {
  int64_t id;
  dw_lab lab;
  double uncertainty_de00;
  dw_target_how how;
  char created[DW_TIME_ROOM];
  char photo[DW_SHA256_ROOM]; /* "" without one */
  bool no_card;               /* as dw_pattern_layer's */
  char *detail;               /* JSON, whole; owned by the list */
} dw_target_past;
/* Newest first; *out by dw_target_history_free. */
dw_status dw_target_history(dw_book *book, int64_t layer, dw_target_past **out, size_t *n, dw_error *err);
void dw_target_history_free(dw_target_past *list, size_t n); /* NULL is fine */

/* ---- tones: the range of natural colors for a layer ---------------------------------------------------- */

typedef struct dw_tone {
  int64_t id;
  char name[DW_TONE_NAME_ROOM];
  char note[DW_BOOK_NOTE_ROOM];
  bool invented; /* a sample of ours, not from an animal */
  char created[DW_TIME_ROOM];
  size_t n; /* colors */
} dw_tone;

/* In a transaction: add, color_add, remove. */
dw_status dw_tone_add(dw_book *book, const char *name, const char *note, bool invented, int64_t *id,
                      dw_error *err);
/* photo 0: from numbers.  detail as in dw_target.  Errors DW_TOO_LARGE over DW_TONE_COLORS_MAX */
dw_status dw_tone_color_add(dw_book *book, int64_t tone, dw_lab lab, int64_t photo, const char *detail,
                            dw_error *err);
dw_status dw_tone_remove(dw_book *book, int64_t id, dw_error *err);
dw_status dw_tone_find(dw_book *book, const char *name, dw_tone *out, dw_error *err);
dw_status dw_tone_list(dw_book *book, dw_tone **out, size_t *n, dw_error *err);
/* Its colors, in the order they were added. */
dw_status dw_tone_colors(dw_book *book, int64_t id, dw_lab **out, size_t *n, dw_error *err);

#endif
