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
  size_t *fold;
} leave_room;

/* Which fold each sample is left out with: grays and colors are dealt out apart, so that no fold takes many
 * grays at once, however the card lays them out. */
static void folds_deal(const pt__sample *s, size_t n, size_t folds, size_t *fold) {
  size_t next = 0;
  for (int gray = 1; gray >= 0; gray--)
    for (size_t i = 0; i < n; i++)
      if (s[i].gray == (gray != 0)) fold[i] = next++ % folds;
}

static size_t kept_gather(const pt__sample *s, size_t n, size_t fold, leave_room *room) {
  size_t count = 0;
  for (size_t i = 0; i < n; i++)
    if (room->fold[i] != fold) room->kept[count++] = s[i];
  return count;
}

static pt_status fold_predict(const pt__sample *s, size_t n, size_t fold, pt__field_kind kind,
                              const double start[2], leave_room *room, double *plain, double *moved,
                              pt_error *err) {
  pt__model model = {0};
  const size_t count = kept_gather(s, n, fold, room);
  pt_status status = pt__model_fit(room->kept, count, kind, start, room->scratch, &model, err);
  if (status != PT_OK) return status;
  for (size_t i = 0; i < n; i++)
    if (room->fold[i] == fold) plain[i] = pt_de00(pt__model_lab(&model, s[i].rgb, s[i].place), s[i].lab);
  status = pt__residual_fit(room->kept, count, &model, err);
  for (size_t i = 0; i < n && status == PT_OK; i++)
    if (room->fold[i] == fold) moved[i] = pt_de00(pt__model_lab(&model, s[i].rgb, s[i].place), s[i].lab);
  pt__residual_free(&model.residual);
  return status;
}

pt_status pt__leave_out(const pt__sample *s, size_t n, pt__field_kind kind, const double start[2],
                        double *plain, double *moved, pt_error *err) {
  const size_t folds = n > 2 * PT__FOLDS ? PT__FOLDS : n;
  leave_room room = {malloc(n * sizeof *room.kept), malloc(9 * n * sizeof *room.scratch),
                     malloc(n * sizeof *room.fold)};
  pt_status status = PT_OK;
  if (room.kept == NULL || room.scratch == NULL || room.fold == NULL) {
    status = pt_fail_memory(err, "the card's fit");
    goto out;
  }
  folds_deal(s, n, folds, room.fold);
  for (size_t fold = 0; fold < folds && status == PT_OK; fold++)
    status = fold_predict(s, n, fold, kind, start, &room, plain, moved, err);
out:
  free(room.kept);
  free(room.scratch);
  free(room.fold);
  return status;
}
