/* Chips and fits. */
#include "book/bottles.h"
#include "book/sql.h"

#include <stdlib.h>
#include <string.h>

dw_status dw__chip_admit(const dw_chip *chip, dw_error *err) {
  dw_status status = dw__lab_check("A chip", chip->lab, err);
  if (status == DW_OK)
    status = dw__number_check("A chip's thickness in mm", chip->thickness_mm, 0.1, DW_THICKNESS_MAX_MM, err);
  return status == DW_OK ? dw__number_check("A chip's backing", chip->backing, 0, 1, err) : status;
}

dw_status dw__chip_part_add(dw_book *book, int64_t chip, const dw_bottle *bottle, double loading,
                            dw_error *err) {
  int64_t lot = 0;
  dw_status status = dw__bottle_ensure(book, bottle, false, err);
  if (status == DW_OK) status = dw__lot_at_hand(book, bottle->id, &lot, err);
  if (status != DW_OK) return status;
  return dw__book_run(book, NULL, err, "INSERT INTO chip_part (chip, lot, loading) VALUES (?, ?, ?)", "iid",
                      chip, lot, loading);
}

static dw_status keep_chip(dw_book *book, const dw_shelf *shelf, const dw_chip *chip, int64_t photo,
                           const char *now, dw_error *err) {
  static const char sql[] =
      "INSERT INTO chip (thickness_mm, backing, l, a, b, clipped, deviation, photo, added)"
      " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)";
  int64_t id = 0;
  dw_status status = dw__chip_admit(chip, err);
  if (status == DW_OK)
    status = dw__book_run(book, &id, err, sql, "dddddidrt", chip->thickness_mm, chip->backing, chip->lab.L,
                          chip->lab.a, chip->lab.b, (int64_t)chip->clipped, chip->sd_de00, photo, now);
  for (size_t i = 0; i < chip->recipe.n && status == DW_OK; i++) {
    const dw_part *part = &chip->recipe.part[i];
    status = dw__chip_part_add(book, id, &shelf->bottle[part->bottle], part->amount, err);
  }
  return status;
}

static dw_status id_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  *(int64_t *)element = dw__query_integer(query, 0);
  return DW_OK;
}

static dw_status same_parts(dw_book *book, const dw_shelf *shelf, const dw_chip *chip, int64_t id, bool *same,
                            dw_error *err) {
  static const char sql[] =
      "SELECT EXISTS (SELECT 1 FROM chip_part p JOIN lot ON lot.id = p.lot JOIN bottle b"
      " ON b.id = lot.bottle WHERE p.chip = ? AND b.slug = ? AND p.loading = ?)";
  dw_status status = DW_OK;
  *same = true;
  for (size_t i = 0; i < chip->recipe.n && status == DW_OK && *same; i++) {
    const dw_part *part = &chip->recipe.part[i];
    int64_t there = 0;
    status =
        dw__book_integer(book, &there, "", err, sql, "itd", id, shelf->bottle[part->bottle].id, part->amount);
    *same = there != 0;
  }
  return status;
}

dw_status dw__chip_find(dw_book *book, const dw_shelf *shelf, const dw_chip *chip, int64_t but, int64_t *id,
                        dw_error *err) {
  static const char sql[] =
      "SELECT id FROM chip c WHERE thickness_mm = ? AND backing = ? AND l = ? AND a = ? AND"
      " b = ? AND (SELECT count(*) FROM chip_part WHERE chip = c.id) = ?";
  int64_t *list = NULL;
  size_t n = 0;
  *id = 0;
  dw_status status =
      dw__book_list(book, sizeof(int64_t), id_from_row, &list, &n, err, sql, "dddddi", chip->thickness_mm,
                    chip->backing, chip->lab.L, chip->lab.a, chip->lab.b, (int64_t)chip->recipe.n);
  for (size_t i = 0; i < n && status == DW_OK && !*id; i++) {
    bool same = false;
    status = list[i] == but ? DW_OK : same_parts(book, shelf, chip, list[i], &same, err);
    if (same) *id = list[i];
  }
  free(list);
  return status;
}

dw_status dw_chips_keep(dw_book *book, const dw_shelf *shelf, const dw_chip *chips, size_t n, int64_t photo,
                        size_t *added, dw_error *err) {
  char now[DW_TIME_ROOM];
  int64_t have = 0;
  size_t fresh = 0;
  dw__book_now(now);
  dw_status status = dw__book_integer(book, &have, "", err, "SELECT count(*) FROM chip", "");
  if (status == DW_OK && (n > DW_CHIPS_MAX || (size_t)have > DW_CHIPS_MAX - n))
    status = dw_fail(err, DW_TOO_LARGE, "The book holds at most %d chips; it has %lld.", DW_CHIPS_MAX,
                     (long long)have);
  for (size_t i = 0; i < n && status == DW_OK; i++) {
    int64_t known = 0;
    status = dw__chip_find(book, shelf, &chips[i], 0, &known, err);
    if (status != DW_OK || known) continue;
    status = keep_chip(book, shelf, &chips[i], photo, now, err);
    fresh++;
  }
  if (added) *added = fresh;
  dw__tell(book, DW_ENTRY_CHIP, 0, 0, "", "%zu chip%s added", fresh, fresh == 1 ? "" : "s");
  return status;
}

/* ---- reading ------------------------------------------------------------------------------------------- */

/* The bottles that chips name, nothing known of them yet but what the maker said. */
static dw_status shelf_of_chips(dw_book *book, dw_shelf *shelf, dw_error *err) {
  static const char sql[] = "SELECT slug, title, role, drop_ml FROM bottle b WHERE EXISTS (SELECT 1 FROM lot"
                            " JOIN chip_part p ON p.lot = lot.id WHERE lot.bottle = b.id) ORDER BY slug";
  dw__query query;
  bool row = true;
  dw_status status = dw__query_open(book, sql, &query, err, "");
  while (status == DW_OK && (status = dw__query_next(&query, &row, err)) == DW_OK && row) {
    if (shelf->n == DW_SHELF_MAX) {
      status = dw_fail(err, DW_TOO_LARGE, "The chips name more than %d bottles; forget some chips first.",
                       DW_SHELF_MAX);
      break;
    }
    dw_bottle *bottle = &shelf->bottle[shelf->n++];
    char slug[DW_ID_ROOM];
    dw__query_copy(&query, 0, slug, sizeof slug);
    *bottle = dw_bottle_blank(slug, dw__query_text(&query, 1), DW_ROLE_COLOR);
    dw_role_find(dw__query_text(&query, 2), &bottle->role);
    bottle->drop_ml = dw__query_number(&query, 3);
  }
  dw__query_close(&query);
  return status;
}

static dw_status chip_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_chip_kept *out = element;
  out->id = dw__query_integer(query, 0);
  out->chip = (dw_chip){.thickness_mm = dw__query_number(query, 1),
                        .backing = dw__query_number(query, 2),
                        .lab = dw__query_lab(query, 3),
                        .clipped = dw__query_integer(query, 6) != 0,
                        .sd_de00 = dw__query_number(query, 7)};
  dw__query_copy(query, 8, out->added, sizeof out->added);
  dw__query_copy(query, 9, out->photo, sizeof out->photo);
  return DW_OK;
}

/* Both lists run in order of the chip's id. */
static dw_status add_parts(dw_book *book, const dw_shelf *shelf, dw_chip_kept *list, size_t n,
                           dw_error *err) {
  static const char sql[] = "SELECT p.chip, b.slug, p.loading FROM chip_part p JOIN lot ON lot.id = p.lot"
                            " JOIN bottle b ON b.id = lot.bottle ORDER BY p.chip, p.id";
  dw__query query;
  bool row = true;
  size_t at = 0;
  dw_status status = dw__query_open(book, sql, &query, err, "");
  while (status == DW_OK && (status = dw__query_next(&query, &row, err)) == DW_OK && row) {
    int64_t chip = dw__query_integer(&query, 0);
    while (at < n && list[at].id < chip) at++;
    int bottle = dw_shelf_find(shelf, dw__query_text(&query, 1));
    if (at == n || list[at].id != chip || bottle < 0 ||
        !dw_recipe_add(&list[at].chip.recipe, (size_t)bottle, dw__query_number(&query, 2)))
      status = dw_fail(err, DW_CORRUPT, "Chip %lld in the book %s is damaged; run dropwise book check.",
                       (long long)chip, dw_book_path(book));
  }
  dw__query_close(&query);
  return status;
}

static dw_status list_chips(dw_book *book, const dw_shelf *shelf, dw_chip_kept **out, size_t *n,
                            dw_error *err) {
  static const char sql[] =
      "SELECT c.id, thickness_mm, backing, l, a, b, clipped, deviation, c.added, p.sha256"
      " FROM chip c LEFT JOIN photo p ON p.id = c.photo ORDER BY c.id";
  dw_status status = dw__book_list(book, sizeof **out, chip_from_row, out, n, err, sql, "");
  return status == DW_OK ? add_parts(book, shelf, *out, *n, err) : status;
}

dw_status dw_chip_list(dw_book *book, dw_shelf **shelf, dw_chip_kept **out, size_t *n, dw_error *err) {
  dw_shelf *found = NULL;
  dw_chip_kept *list = NULL;
  size_t count = 0;
  dw_status status = dw_shelf_new(&found, err);
  if (status == DW_OK) status = shelf_of_chips(book, found, err);
  if (status == DW_OK) status = list_chips(book, found, &list, &count, err);
  if (status != DW_OK) {
    free(list);
    dw_shelf_free(found);
    return status;
  }
  *shelf = found;
  *out = list;
  *n = count;
  return DW_OK;
}

dw_status dw_chips_load(dw_book *book, dw_shelf **shelf, dw_chip **chips, size_t *n, dw_error *err) {
  dw_shelf *found = NULL;
  dw_chip_kept *kept = NULL;
  dw_chip *bare = NULL;
  size_t count = 0;
  dw_status status = dw_chip_list(book, &found, &kept, &count, err);
  if (status == DW_OK && count == 0)
    status = dw_fail(err, DW_TOO_FEW, "The book holds no chips yet; add some with dropwise bottle chips.");
  if (status == DW_OK && !(bare = calloc(count, sizeof *bare))) status = dw_fail_memory(err, "the chips");
  if (status == DW_OK) {
    for (size_t i = 0; i < count; i++) bare[i] = kept[i].chip;
    *chips = bare;
    *shelf = found;
    *n = count;
  } else {
    dw_shelf_free(found);
  }
  free(kept);
  return status;
}

dw_status dw_chips_forget(dw_book *book, const char *slug, size_t *n, dw_error *err) {
  static const char one[] =
      "DELETE FROM chip WHERE id IN (SELECT p.chip FROM chip_part p JOIN lot ON lot.id = p.lot"
      " JOIN bottle b ON b.id = lot.bottle WHERE b.slug = ?)";
  dw_status status = slug ? dw__book_run(book, NULL, err, one, "t", slug)
                          : dw__book_run(book, NULL, err, "DELETE FROM chip", "");
  dw__tell(book, DW_ENTRY_CHIP, 0, 0, "", slug ? "chips of %.60s removed" : "all chips removed", slug);
  if (status == DW_OK) *n = (size_t)sqlite3_changes(book->db);
  return status == DW_OK && slug ? dw__fits_forget(book, err) : status;
}

/* ---- fits ---------------------------------------------------------------------------------------------- */

/* *known: the newest fit is the same, made of the same chips. */
static dw_status fit_known(dw_book *book, const char *shelf, const char *report, bool *known, dw_error *err) {
  static const char sql[] = "SELECT EXISTS (SELECT 1 FROM fit WHERE id = (SELECT max(id) FROM fit)"
                            " AND shelf = ? AND report = ?)";
  int64_t same = 0;
  dw_status status = dw__book_integer(book, &same, "", err, sql, "tt", shelf, report);
  *known = status == DW_OK && same;
  return status;
}

dw_status dw_fit_keep(dw_book *book, const dw_fit *fit, const char *report, dw_error *err) {
  char *shelf = NULL, now[DW_TIME_ROOM];
  bool known = false;
  int64_t id = 0, lot;
  dw__book_now(now);
  dw_status status = dw__json_check("A fit's report", report, '{', err);
  if (status == DW_OK) status = dw_shelf_write(fit->shelf, &shelf, err);
  if (status == DW_OK) status = fit_known(book, shelf, report, &known, err);
  if (known) {
    free(shelf);
    return status;
  }
  if (status == DW_OK) dw__tell(book, DW_ENTRY_FIT, 0, 0, "", "bottles fitted to %zu chips", fit->n);
  if (status == DW_OK)
    status = dw__book_run(book, &id, err, "INSERT INTO fit (shelf, report, created) VALUES (?, ?, ?)", "ttt",
                          shelf, report, now);
  for (size_t i = 0; i < fit->shelf->n && status == DW_OK; i++) {
    const dw_bottle *bottle = &fit->shelf->bottle[i];
    if (bottle->origin != DW_ORIGIN_FITTED) continue;
    status = dw__lot_at_hand(book, bottle->id, &lot, err);
    if (status == DW_OK)
      status = dw__book_run(book, NULL, err,
                            "INSERT INTO fit_bottle (fit, bottle) SELECT ?, bottle FROM lot WHERE id = ?",
                            "ii", id, lot);
    /* The role follows the chips; an effect is the maker's to say. */
    if (status == DW_OK)
      status = dw__book_run(book, NULL, err, "UPDATE bottle SET role = ? WHERE slug = ? AND role IS NOT ?",
                            "ttt", dw_role_name(bottle->role), bottle->id, dw_role_name(bottle->role));
  }
  free(shelf);
  return status;
}
