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
  dw__sample *kept;
  double *scratch;
  size_t *fold;
} leave_room;

/* Which fold each sample is left out with: grays and colors are dealt out apart, so that no fold takes many
 * grays at once, however the card lays them out. */
static void folds_deal(const dw__sample *s, size_t n, size_t folds, size_t *fold) {
  size_t next = 0;
  for (int gray = 1; gray >= 0; gray--)
    for (size_t i = 0; i < n; i++)
      if (s[i].gray == (gray != 0)) fold[i] = next++ % folds;
}

static size_t kept_gather(const dw__sample *s, size_t n, size_t fold, leave_room *room) {
  size_t count = 0;
  for (size_t i = 0; i < n; i++)
    if (room->fold[i] != fold) room->kept[count++] = s[i];
  return count;
}

static dw_status fold_predict(const dw__sample *s, size_t n, size_t fold, dw__field_kind kind,
                              const double start[2], leave_room *room, double *plain, double *moved,
                              dw_error *err) {
  dw__model model = {0};
  const size_t count = kept_gather(s, n, fold, room);
  dw_status status = dw__model_fit(room->kept, count, kind, start, room->scratch, &model, err);
  if (status != DW_OK) return status;
  for (size_t i = 0; i < n; i++)
    if (room->fold[i] == fold) plain[i] = dw_de00(dw__model_lab(&model, s[i].rgb, s[i].place), s[i].lab);
  status = dw__residual_fit(room->kept, count, &model, err);
  for (size_t i = 0; i < n && status == DW_OK; i++)
    if (room->fold[i] == fold) moved[i] = dw_de00(dw__model_lab(&model, s[i].rgb, s[i].place), s[i].lab);
  dw__residual_free(&model.residual);
  return status;
}

dw_status dw__leave_out(const dw__sample *s, size_t n, dw__field_kind kind, const double start[2],
                        double *plain, double *moved, dw_error *err) {
  const size_t folds = n > 2 * DW__FOLDS ? DW__FOLDS : n;
  leave_room room = {malloc(n * sizeof *room.kept), malloc(9 * n * sizeof *room.scratch),
                     malloc(n * sizeof *room.fold)};
  dw_status status = DW_OK;
  if (room.kept == NULL || room.scratch == NULL || room.fold == NULL) {
    status = dw_fail_memory(err, "the card's fit");
    goto out;
  }
  folds_deal(s, n, folds, room.fold);
  for (size_t fold = 0; fold < folds && status == DW_OK; fold++)
    status = fold_predict(s, n, fold, kind, start, &room, plain, moved, err);
out:
  free(room.kept);
  free(room.scratch);
  free(room.fold);
  return status;
}
