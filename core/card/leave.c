/* Leave-one-out: how well the patches predict a color that they have not seen.
 *
 * Everything is fitted anew without the patch: tone curves (when it is a gray), light slope, root-polynomial
 * and residual. A left-out gray inside the ramp is bridged by its neighbors; a left-out white or black lies
 * on the curve's continuation by its end slope, as any color brighter than white or darker than black will.
 */
#include "card/fit.h"

#include <stdlib.h>
#include <string.h>

typedef struct leave_room {
  pt__sample *kept;
  double *scratch;
} leave_room;

static size_t kept_gather(const pt__sample *s, size_t n, size_t folds, size_t fold, pt__sample *kept) {
  size_t count = 0;
  for (size_t i = 0; i < n; i++)
    if (i % folds != fold) kept[count++] = s[i];
  return count;
}

static pt_status fold_predict(const pt__sample *s, size_t n, size_t folds, size_t fold, pt__field_kind kind,
                              const double start[2], const leave_room *room, double *plain, double *moved,
                              pt_error *err) {
  pt__model model = {0};
  const size_t count = kept_gather(s, n, folds, fold, room->kept);
  pt_status status = pt__model_fit(room->kept, count, kind, start, room->scratch, &model, err);
  if (status != PT_OK) return status;
  for (size_t i = fold; i < n; i += folds)
    plain[i] = pt_de00(pt__model_lab(&model, s[i].rgb, s[i].place), s[i].lab);
  status = pt__residual_fit(room->kept, count, &model, err);
  for (size_t i = fold; i < n && status == PT_OK; i += folds)
    moved[i] = pt_de00(pt__model_lab(&model, s[i].rgb, s[i].place), s[i].lab);
  pt__residual_free(&model.residual);
  return status;
}

pt_status pt__leave_out(const pt__sample *s, size_t n, pt__field_kind kind, const double start[2],
                        double *plain, double *moved, pt_error *err) {
  const size_t folds = n > 2 * PT__FOLDS ? PT__FOLDS : n;
  leave_room room = {malloc(n * sizeof *room.kept), malloc(9 * n * sizeof *room.scratch)};
  pt_status status = PT_OK;
  if (room.kept == NULL || room.scratch == NULL) {
    status = pt_fail_memory(err, "the card's fit");
    goto out;
  }
  for (size_t fold = 0; fold < folds && status == PT_OK; fold++)
    status = fold_predict(s, n, folds, fold, kind, start, &room, plain, moved, err);
out:
  free(room.kept);
  free(room.scratch);
  return status;
}
