/* Where the patches are: a projective grid through the centers of the four corner patches. */
#include "card/place.h"

#include <math.h>

/* Half the side of a usual patch, in grid units: patches fill four fifths of their spacing (common practice).
 */
#define SIDE_MOST 48 /* photo pixels of a patch looked at, each way */
#define DRAWN_HALF 0.4
#define SPACING_MIN_PX 8.0
/* The nearest and the farthest spacing of one card: beyond this the view is too slanted to trust. */
#define SLANT_MAX 4.0

void dw_corners_middle(const dw_corners *corners, double *x, double *y) {
  const double *c = corners->xy;
  *x = (c[0] + c[2] + c[4] + c[6]) / 4;
  *y = (c[1] + c[3] + c[5] + c[7]) / 4;
}

dw_status dw_corners_parse(const char *text, dw_corners *out, dw_error *err) {
  dw_corners corners;
  if (text == NULL || !dw_parse_numbers(text, 8, corners.xy))
    return dw_fail(
        err, DW_BAD_INPUT,
        "The card's corners \"%.80s\" are not eight numbers X1,Y1,X2,Y2,X3,Y3,X4,Y4: give the centers "
        "of the first patch, the end of the first row, the last patch, the start of the last row.",
        text ? text : "");
  *out = corners;
  return DW_OK;
}

static void grid_corners(const dw_card *card, double out[8]) {
  const double right = (double)(card->cols - 1), bottom = (double)(card->rows - 1);
  const double grid[8] = {0, 0, right, 0, right, bottom, 0, bottom};
  for (int i = 0; i < 8; i++) out[i] = grid[i];
}

dw_status dw__grid_to_photo(const dw_card *card, const dw_corners *corners, dw_homography *out,
                            dw_error *err) {
  double grid[8];
  grid_corners(card, grid);
  return dw_homography_fit(grid, corners->xy, out, err);
}

dw_status dw__photo_to_grid(const dw_card *card, const dw_corners *corners, dw_homography *out,
                            dw_error *err) {
  double grid[8];
  grid_corners(card, grid);
  return dw_homography_fit(corners->xy, grid, out, err);
}

/* Four points around a patch, half a side from its center. */
static void patch_quad(const dw_card *card, const dw_homography *map, size_t i, double half, double xy[8]) {
  static const double side[4][2] = {{-1, -1}, {1, -1}, {1, 1}, {-1, 1}};
  const double column = (double)(i % card->cols), row = (double)(i / card->cols);
  for (int k = 0; k < 4; k++)
    dw_homography_at(map, column + half * side[k][0], row + half * side[k][1], &xy[2 * k], &xy[2 * k + 1]);
}

static dw_status corners_inside(const dw_corners *corners, const dw_photo_info *photo, dw_error *err) {
  for (int k = 0; k < 4; k++) {
    double x = corners->xy[2 * k], y = corners->xy[2 * k + 1];
    if (!(x >= 0.0 && y >= 0.0 && x <= photo->width - 1 && y <= photo->height - 1))
      return dw_fail(
          err, DW_BAD_INPUT,
          "Corner %d of the card (%g,%g) lies outside of the photo, which is %d x %d pixels: mark the "
          "center of that patch.",
          k + 1, x, y, photo->width, photo->height);
  }
  return DW_OK;
}

/* All four turns go the same way: the shape is convex and does not cross itself (a mirrored one is fine). */
static dw_status corners_convex(const dw_corners *corners, dw_error *err) {
  int turns = 0;
  for (int k = 0; k < 4; k++) {
    const double *a = &corners->xy[2 * k], *b = &corners->xy[2 * ((k + 1) % 4)],
                 *c = &corners->xy[2 * ((k + 2) % 4)];
    double turn = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]);
    turns += turn > 0.0 ? 1 : turn < 0.0 ? -1 : 0;
  }
  if (turns == 4 || turns == -4) return DW_OK;
  return dw_fail(
      err, DW_BAD_INPUT,
      "The card's corners do not go around it: give the first patch, the end of the first row, the last "
      "patch, the start of the last row.");
}

/* Distance of two neighboring patch centers, in pixels. */
static double spacing(const dw_homography *map, double column, double row, double step_column,
                      double step_row) {
  double x0, y0, x1, y1;
  dw_homography_at(map, column, row, &x0, &y0);
  dw_homography_at(map, column + step_column, row + step_row, &x1, &y1);
  return hypot(x1 - x0, y1 - y0);
}

/* In a projective view the extreme spacings of a direction are found at the grid's four corners. */
static void spacing_range(const dw_card *card, const dw_homography *map, bool along_row, double *least,
                          double *most) {
  const double last_column = (double)(card->cols - 1), last_row = (double)(card->rows - 1);
  *least = INFINITY;
  *most = 0.0;
  for (int k = 0; k < 4; k++) {
    double column = (k & 1) ? last_column : 0.0, row = (k & 2) ? last_row : 0.0;
    double step = along_row ? ((k & 1) ? -1.0 : 1.0) : ((k & 2) ? -1.0 : 1.0);
    double d = along_row ? spacing(map, column, row, step, 0.0) : spacing(map, column, row, 0.0, step);
    *least = fmin(*least, d);
    *most = fmax(*most, d);
  }
}

static dw_status spacing_judge(const dw_card *card, const dw_homography *map, dw_error *err) {
  double least[2], most[2];
  for (int along = 0; along < 2; along++) spacing_range(card, map, along == 1, &least[along], &most[along]);
  const double small = fmin(least[0], least[1]), large = fmax(most[0], most[1]);
  if (!(small >= SPACING_MIN_PX))
    return dw_fail(
        err, DW_REFUSED,
        "The card's patches stand only %.1f pixels apart and %.0f are needed: take the photo from nearer, "
        "or check the corners.",
        small, SPACING_MIN_PX);
  if (large > SLANT_MAX * small)
    return dw_fail(
        err, DW_REFUSED,
        "The card's patches stand %.0f to %.0f pixels apart, so the corners are wrong or the card is seen "
        "too slanted: mark the corners again, or photograph it more from above.",
        small, large);
  return DW_OK;
}

static dw_status map_make(const dw_card *card, const dw_corners *corners, const dw_photo_info *photo,
                          dw_homography *out, dw_error *err) {
  dw_status status = corners_inside(corners, photo, err);
  if (status == DW_OK) status = corners_convex(corners, err);
  if (status == DW_OK) status = dw__grid_to_photo(card, corners, out, err);
  if (status == DW_OK) status = spacing_judge(card, out, err);
  return status;
}

/* The smallest whole rectangle that holds the quad and lies in the photo. */
static dw_rect rect_around(const double xy[8], const dw_photo_info *photo) {
  double left = xy[0], right = xy[0], top = xy[1], bottom = xy[1];
  for (int k = 1; k < 4; k++) {
    left = fmin(left, xy[2 * k]);
    right = fmax(right, xy[2 * k]);
    top = fmin(top, xy[2 * k + 1]);
    bottom = fmax(bottom, xy[2 * k + 1]);
  }
  const double rounding = 1e-6;
  const int x0 = (int)fmax(ceil(left - rounding), 0.0), y0 = (int)fmax(ceil(top - rounding), 0.0);
  const int x1 = (int)fmin(floor(right + rounding), photo->width - 1),
            y1 = (int)fmin(floor(bottom + rounding), photo->height - 1);
  return (dw_rect){x0, y0, x1 - x0 + 1, y1 - y0 + 1};
}

/* No more of a patch than its statistics use: on a photo of 12 megapixels the rest would be half of all
 * pixels kept. */
static dw_rect middle_of(dw_rect rect) {
  const int dx = rect.w > SIDE_MOST ? (rect.w - SIDE_MOST) / 2 : 0;
  const int dy = rect.h > SIDE_MOST ? (rect.h - SIDE_MOST) / 2 : 0;
  return (dw_rect){rect.x + dx, rect.y + dy, rect.w - 2 * dx, rect.h - 2 * dy};
}

dw_status dw_card_rects(const dw_card *card, const dw_corners *corners, const dw_photo_info *photo,
                        dw_rect *out, dw_error *err) {
  dw_homography map;
  dw_status status = map_make(card, corners, photo, &map, err);
  if (status != DW_OK) return status;
  for (size_t i = 0; i < card->rows * card->cols; i++) {
    double xy[8];
    patch_quad(card, &map, i, DW__SAMPLED_HALF, xy);
    out[i] = middle_of(rect_around(xy, photo));
  }
  return DW_OK;
}

dw_status dw_card_outline(const dw_card *card, const dw_corners *corners, size_t i, double xy[8],
                          dw_error *err) {
  dw_homography map;
  if (i >= card->rows * card->cols)
    return dw_fail(err, DW_BAD_INPUT, "The card has %zu patches, there is no patch %zu.",
                   card->rows * card->cols, i + 1);
  dw_status status = dw__grid_to_photo(card, corners, &map, err);
  if (status == DW_OK) patch_quad(card, &map, i, DRAWN_HALF, xy);
  return status;
}

dw__board dw__board_from_corners(const dw_corners *corners) {
  dw__board board = {0};
  for (int k = 0; k < 4; k++) {
    const double *a = &corners->xy[2 * k], *b = &corners->xy[2 * ((k + 1) % 4)];
    board.x += a[0] / 4.0;
    board.y += a[1] / 4.0;
    board.side_px = fmax(board.side_px, hypot(b[0] - a[0], b[1] - a[1]));
  }
  return board;
}

void dw__board_at(const dw__board *board, double x, double y, double out[2]) {
  out[0] = fmin(fmax((x - board->x) / board->side_px, -DW__BOARD_REACH), DW__BOARD_REACH);
  out[1] = fmin(fmax((y - board->y) / board->side_px, -DW__BOARD_REACH), DW__BOARD_REACH);
}
