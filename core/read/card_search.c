/* The card that nobody marked, as a mark. */
#include "dropwise/card_find.h"
#include "dropwise/read.h"

#include <stdlib.h>

/* A card is there where the light by its patches at full size is believed, as in dw_find_read. */
static dw_status find_in_photo(const char *path, dw_marks *found, dw_error *err) {
  dw_photo *photo = NULL;
  dw_light *light = NULL;
  if (dw_photo_open(path, NULL, &photo, NULL) != DW_OK) return DW_OK;
  dw_status status = dw_card_find(photo, &found->card, &found->corners, err);
  found->method = DW_LIGHT_CARD;
  if (status == DW_OK) status = dw_flow_light(photo, found, dw_photo_limits_default().max_bytes, &light, err);
  dw_light_free(light);
  dw_photo_close(photo);
  return status;
}

dw_status dw_marks_find_card(const char *path, const char *set, dw_marks *marks, dw_error *err) {
  dw_marks *found = malloc(sizeof *found);
  if (!found) return dw_fail_memory(err, "the card");
  *found = *marks;
  dw_status status = dw_marks_set_card(found, set, err);
  if (status == DW_OK) status = find_in_photo(path, found, err);
  if (status == DW_OK && found->method == DW_LIGHT_CARD)
    *marks = *found; /* none: the photo can't be opened */
  free(found);
  return status;
}
