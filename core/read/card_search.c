/* The card that nobody marked, as a mark. */
#include "dropwise/card_find.h"
#include "dropwise/read.h"

dw_status dw_marks_find_card(const char *path, dw_marks *marks, dw_error *err) {
  static const char set[] = "grid24";
  dw_photo *photo = NULL;
  dw_corners corners;
  if (dw_photo_open(path, NULL, &photo, NULL) != DW_OK) return DW_OK;
  dw_status status = dw_card_find(photo, dw_card_named(set), &corners, err);
  dw_photo_close(photo);
  if (status == DW_OK) status = dw_marks_set_card(marks, set, err);
  if (status != DW_OK) return status;
  marks->method = DW_LIGHT_CARD;
  marks->corners = corners;
  return DW_OK;
}
