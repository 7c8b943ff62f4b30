/* Bottles that cups are to get nothing of: a list of names as text. */
#include "book/bottles.h"
#include "dropwise/book_settings.h"

#include <string.h>

/* The next name of the list, behind commas; false at its end or at what is no name. */
static bool next_name(const char **at, char out[DW_ID_ROOM]) {
  *at += strspn(*at, ", ");
  const size_t n = strcspn(*at, ", ");
  if (n == 0 || n >= DW_ID_ROOM) return false;
  memcpy(out, *at, n);
  out[n] = '\0';
  if (!dw_id_valid(out)) return false;
  *at += n;
  return true;
}

static bool holds(const char *list, const char *name) {
  char other[DW_ID_ROOM];
  while (next_name(&list, other))
    if (strcmp(other, name) == 0) return true;
  return false;
}

bool dw_unwanted_parse(const char *text, char out[DW_UNWANTED_ROOM]) {
  char name[DW_ID_ROOM], list[DW_UNWANTED_ROOM] = "";
  if (strcmp(text, "none") == 0) text = "";
  while (next_name(&text, name)) {
    const size_t used = strlen(list);
    if (holds(list, name)) continue;
    if (used + 1 + strlen(name) >= sizeof list) return false;
    snprintf(list + used, sizeof list - used, "%s%s", used ? "," : "", name);
  }
  if (*text) return false;
  memcpy(out, list, sizeof list);
  return true;
}

void dw_unwanted_rules(const char *list, const dw_shelf *shelf, dw_rules *rules) {
  char name[DW_ID_ROOM];
  while (next_name(&list, name)) {
    const int at = dw_shelf_find(shelf, name);
    if (at >= 0) rules->use[at] = DW_USE_NEVER;
  }
}

dw_status dw__unwanted_check(dw_book *book, const char *list, dw_error *err) {
  char name[DW_ID_ROOM];
  dw_status status = DW_OK;
  while (status == DW_OK && next_name(&list, name)) status = dw__bottle_known(book, name, err);
  return status;
}
