/* A photo in which something is looked for: what the searches share. */
#ifndef READ_FINDING_H
#define READ_FINDING_H

#include "dropwise/read_find.h"

typedef struct dw__finding {
  dw_photo *photo; /* borrowed, open */
  dw_marks *marks; /* which card, or the light that is given; a card that was found is marked in it */
  dw_arena *pixels;
  dw_preview view;        /* where the baits are looked for; rgb NULL: none was made */
  dw_light *light;        /* owned */
  char why[DW_NOTE_TEXT]; /* no card was found or believed */
} dw__finding;

/* Fills light.  A card that is not there, or not believed, leaves the photo's own numbers, and that is said.
 * Where the marks name the light, nothing is searched. */
dw_status dw__finding_light(dw__finding *f, size_t max_bytes, dw_error *err);
/* All of the photo, thinned as baits are searched in. */
dw_status dw__finding_pixels(dw__finding *f, dw_patch *out, dw_error *err);
/* Takes the light that is given, without its layers; false where none is. */
bool dw__light_given(const dw_marks *light, dw_marks *out);
/* The marks of a search: the light that is given (NULL: none), without its layers, else the card to be looked for. */
dw_status dw__finding_marks(const char *card_set, const dw_marks *light, dw_marks *out, dw_error *err);
/* Marks that mark no area are the light of what is looked for: *marks becomes NULL then.
 * wish, marks  as dw_swirls_read has them */
dw_find_wish dw__light_only(const dw_find_wish *wish, const dw_marks **marks);
/* What the light is taken from lies there and is nothing else: the card, or the box around a marked gray.
 * out  photo pixels;  false without one */
bool dw__finding_covers(const dw__finding *f, dw_corners *out);
/* The same in pixels of the patch: out; NULL without one. */
const dw_corners *dw__finding_card(const dw__finding *f, const dw_patch *patch, dw_corners *out);
/* Path, photo, light and card; no layers. */
void dw__finding_head(const dw__finding *f, dw_photo_reading *out);

/* dw_find_in by f's photo and marks, and the light stays: f->light, the caller's to free, on error too. */
dw_status dw__find_in(dw__finding *f, const dw_bait_rules *rules, size_t max_bytes, dw_arena *arena,
                      dw_found *out, dw_error *err);
/* dw_find_read, and the photo stays open for more.  photo  NULL before; the caller's to close, on error too */
dw_status dw__find_open(const char *path, const dw_find_wish *wish, dw_arena *arena, dw_photo **photo,
                        dw_found *out, dw_error *err);

/* One of the baits that were found as a reading: its layers, named as wished. */
void dw__found_reading(const dw_found *found, size_t at, const dw_find_wish *wish, dw_photo_reading *out);
/* The light of a search as a mark: the one that was given, else the card that was found; none where there was none.
 * No layers. */
void dw__light_mark(const dw_photo_reading *reading, const dw_find_wish *wish, dw_marks *out);
/* What the book keeps of the photo beside its readings: hash and preview.  from  the same of another bait */
dw_status dw__keepsake_make(dw_photo *photo, dw_read_photo *out, dw_error *err);
dw_status dw__keepsake_copy(const dw_read_photo *from, dw_read_photo *out, dw_error *err);
/* DW_NOT_FOUND: no bait, and why.  instead  a sentence: what can be done */
dw_status dw__found_none(const dw_found *found, const char *instead, dw_error *err);

/* dw_flow_light by patches that stay: the card's, in its order, or the gray's one.  arena  owns them */
dw_status dw__flow_light_of(dw_photo *photo, const dw_marks *marks, dw_arena *arena, dw_patch **patches,
                            dw_light **out, dw_error *err);

/* The step that thins a rectangle to so many pixels at most, or about; most 0: 1. */
int dw__step_for(const dw_rect *rect, size_t most);
/* Which pixels of a patch, perhaps a thinned one, lie in a shape of the photo.  mask  one byte a pixel */
void dw__patch_mask(const dw_shape *shape, const dw_patch *patch, uint8_t *mask);

#endif
