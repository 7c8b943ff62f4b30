/* Patterns that are swirls: their layers are colors without order. */
#include "book/sql.h"
#include "dropwise/book_aims.h"
#include "dropwise/plan.h"
#include "dropwise/read_swirl.h"

#include <math.h>

dw_status dw_pattern_swirl_check(const dw_pattern *pattern, dw_error *err) {
  if (pattern->n >= 2 && pattern->n <= DW_SWIRL_COLORS_MAX) return DW_OK;
  return dw_fail(err, DW_BAD_INPUT, "\"%s\" has %zu layer%s: a swirl has 2 or %d colors.", pattern->name,
                 pattern->n, pattern->n == 1 ? "" : "s", DW_SWIRL_COLORS_MAX);
}

/* share  of each layer, or n 0: none */
static dw_status set_shares(dw_book *book, const dw_pattern *pattern, const double *share, size_t n,
                            dw_error *err) {
  dw_status status = DW_OK;
  for (size_t i = 0; i < pattern->n && status == DW_OK; i++)
    status = dw__book_run(book, NULL, err, "UPDATE layer SET share = ? WHERE id = ?", "di",
                          n ? share[i] : NAN, pattern->layer[i].id);
  return status;
}

static void tell(dw_book *book, const dw_pattern *pattern, bool swirl, const double *share, size_t n) {
  char words[80] = "";
  for (size_t i = 0, used = 0; i < n && used < sizeof words; i++)
    used += (size_t)snprintf(words + used, sizeof words - used, "%s%.0f", i ? ", " : ", its shares ",
                             100 * share[i]);
  dw__tell(book, DW_ENTRY_PATTERN, pattern->id, 0, "", "pattern %s: %s%s", pattern->name,
           swirl ? "a swirl" : "layers in order", words);
}

dw_status dw_pattern_set_swirl(dw_book *book, int64_t id, bool swirl, const double *percent, size_t n,
                               dw_error *err) {
  double share[DW_SWIRL_COLORS_MAX];
  dw_pattern pattern;
  if (!swirl) n = 0;
  dw_status status = dw_pattern_get(book, id, &pattern, err);
  if (status == DW_OK && swirl) status = dw_pattern_swirl_check(&pattern, err);
  if (status == DW_OK && n && (n != pattern.n || !dw_plan_shares(percent, n, share)))
    status = dw_fail(err, DW_BAD_INPUT,
                     "The shares of \"%s\" are one percentage for each of its %zu colors, together 100.",
                     pattern.name, pattern.n);
  if (status != DW_OK || (!swirl && !pattern.swirl)) return status;
  tell(book, &pattern, swirl, share, n);
  status = set_shares(book, &pattern, share, n, err);
  if (status != DW_OK) return status;
  return dw__book_run(book, NULL, err, "UPDATE pattern SET swirl = nullif(?, 0) WHERE id = ?", "ii",
                      (int64_t)swirl, id);
}
