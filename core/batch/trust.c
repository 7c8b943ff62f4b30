/* Which readings of a pour count.  What drops told counts only until a bait of the pour is read. */
#include "dropwise/batch.h"
#include "dropwise/fit.h"

#include <math.h>
#include <stdlib.h>

static bool bait_trusted(const dw_reading_judged *readings, size_t n, int64_t pour) {
  for (size_t i = 0; i < n; i++)
    if (readings[i].pour == pour && !readings[i].aside && dw_bait_read(readings[i].bait)) return true;
  return false;
}

static void trust(const dw_reading_judged *readings, size_t n, dw_pour_kept *pour, dw_set_aside *aside) {
  double L = 0, a = 0, b = 0, doubt = 0, count = 0;
  const bool bait = bait_trusted(readings, n, pour->id);
  *aside = (dw_set_aside){0};
  for (size_t i = 0; i < n; i++) {
    const dw_reading_judged *r = &readings[i];
    if (r->pour != pour->id) continue;
    aside->n += r->aside;
    if (r->far) aside->off_de00 = fmax(aside->off_de00, r->off_de00);
    if (r->aside || (bait && r->bait == DW_BAIT_DRIZZLED)) continue;
    L += r->lab.L, a += r->lab.a, b += r->lab.b, doubt += r->uncertainty_de00;
    count++;
  }
  pour->has_measured = count > 0;
  if (count == 0) return;
  pour->measured = (dw_lab){L / count, a / count, b / count};
  pour->uncertainty_de00 = doubt / count;
}

dw_status dw_pours_trusted(dw_book *book, const dw_book_cup *cup, const dw_shelf *shelf, dw_pour_kept **out,
                           size_t *n, dw_set_aside *aside, dw_error *err) {
  dw_reading_judged *readings = NULL;
  size_t n_readings = 0;
  *aside = (dw_set_aside){0};
  dw_status status = dw_readings_judge(book, cup->batch, shelf, &readings, &n_readings, err);
  if (status == DW_OK) status = dw_pour_list(book, cup->id, out, n, err);
  for (size_t i = 0; i < *n && status == DW_OK; i++) trust(readings, n_readings, &(*out)[i], aside);
  free(readings);
  return status;
}

void dw_aside_words(const dw_set_aside *aside, char *out, size_t room) {
  char words[DW_NOTE_TEXT] = "Another layer of its photo is nowhere near what its drops give: right photo?";
  out[0] = '\0';
  if (aside->n == 0) return;
  if (aside->off_de00 > 0) dw_miss_words(aside->off_de00, words, sizeof words);
  snprintf(out, room, "%s Kept, but nothing was learned from it.", words);
}
