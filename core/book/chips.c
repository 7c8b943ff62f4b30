/* Chips and fits. */
#include "book/bottles.h"
#include "book/sql.h"

#include <stdlib.h>
#include <string.h>

static pt_status keep_chip(pt_book *book, const pt_shelf *shelf, const pt_chip *chip, int64_t photo,
                           const char *now, pt_error *err) {
  static const char sql[] =
      "INSERT INTO chip (thickness_mm, backing, l, a, b, clipped, deviation, photo, added)"
      " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)";
  int64_t id, lot;
  pt_status status = pt__lab_check("A chip", chip->lab, err);
  if (status == PT_OK)
    status = pt__number_check("A chip's thickness in mm", chip->thickness_mm, 0.1, PT_THICKNESS_MAX_MM, err);
  if (status == PT_OK) status = pt__number_check("A chip's backing", chip->backing, 0, 1, err);
  if (status == PT_OK)
    status = pt__book_run(book, &id, err, sql, "dddddidrt", chip->thickness_mm, chip->backing, chip->lab.L,
                          chip->lab.a, chip->lab.b, (int64_t)chip->clipped, chip->sd_de00, photo, now);
  for (size_t i = 0; i < chip->recipe.n && status == PT_OK; i++) {
    const pt_part *part = &chip->recipe.part[i];
    const pt_bottle *bottle = &shelf->bottle[part->bottle];
    status = pt__bottle_ensure(book, bottle, err);
    if (status == PT_OK) status = pt__lot_at_hand(book, bottle->id, &lot, err);
    if (status == PT_OK)
      status = pt__book_run(book, NULL, err, "INSERT INTO chip_part (chip, lot, loading) VALUES (?, ?, ?)",
                            "iid", id, lot, part->amount);
  }
  return status;
}

pt_status pt_chips_keep(pt_book *book, const pt_shelf *shelf, const pt_chip *chips, size_t n, int64_t photo,
                        pt_error *err) {
  char now[PT_TIME_ROOM];
  int64_t have = 0;
  pt__book_now(now);
  pt_status status = pt__book_integer(book, &have, "", err, "SELECT count(*) FROM chip", "");
  if (status == PT_OK && (n > PT_CHIPS_MAX || (size_t)have > PT_CHIPS_MAX - n))
    status = pt_fail(err, PT_TOO_LARGE, "The book holds at most %d chips; it has %lld.", PT_CHIPS_MAX,
                     (long long)have);
  for (size_t i = 0; i < n && status == PT_OK; i++)
    status = keep_chip(book, shelf, &chips[i], photo, now, err);
  return status;
}

/* ---- reading ------------------------------------------------------------------------------------------- */

/* The bottles that chips name, nothing known of them yet but what the maker said. */
static pt_status shelf_of_chips(pt_book *book, pt_shelf *shelf, pt_error *err) {
  static const char sql[] = "SELECT slug, title, role, drop_ml FROM bottle b WHERE EXISTS (SELECT 1 FROM lot"
                            " JOIN chip_part p ON p.lot = lot.id WHERE lot.bottle = b.id) ORDER BY slug";
  pt__query query;
  bool row = true;
  pt_status status = pt__query_open(book, sql, &query, err, "");
  while (status == PT_OK && (status = pt__query_next(&query, &row, err)) == PT_OK && row) {
    if (shelf->n == PT_SHELF_MAX) {
      status = pt_fail(err, PT_TOO_LARGE, "The chips name more than %d bottles; forget some chips first.",
                       PT_SHELF_MAX);
      break;
    }
    pt_bottle *bottle = &shelf->bottle[shelf->n++];
    char slug[PT_ID_ROOM];
    pt__query_copy(&query, 0, slug, sizeof slug);
    *bottle = pt_bottle_blank(slug, pt__query_text(&query, 1), PT_ROLE_COLOR);
    pt_role_find(pt__query_text(&query, 2), &bottle->role);
    bottle->drop_ml = pt__query_number(&query, 3);
  }
  pt__query_close(&query);
  return status;
}

typedef struct kept_chip {
  int64_t id;
  pt_chip chip;
} kept_chip;

static pt_status chip_from_row(const pt__query *query, void *element, pt_error *err) {
  (void)err;
  kept_chip *out = element;
  out->id = pt__query_integer(query, 0);
  out->chip = (pt_chip){.thickness_mm = pt__query_number(query, 1),
                        .backing = pt__query_number(query, 2),
                        .lab = pt__query_lab(query, 3),
                        .clipped = pt__query_integer(query, 6) != 0,
                        .sd_de00 = pt__query_number(query, 7)};
  return PT_OK;
}

/* Both lists run in order of the chip's id. */
static pt_status add_parts(pt_book *book, const pt_shelf *shelf, kept_chip *list, size_t n, pt_error *err) {
  static const char sql[] = "SELECT p.chip, b.slug, p.loading FROM chip_part p JOIN lot ON lot.id = p.lot"
                            " JOIN bottle b ON b.id = lot.bottle ORDER BY p.chip, p.id";
  pt__query query;
  bool row = true;
  size_t at = 0;
  pt_status status = pt__query_open(book, sql, &query, err, "");
  while (status == PT_OK && (status = pt__query_next(&query, &row, err)) == PT_OK && row) {
    int64_t chip = pt__query_integer(&query, 0);
    while (at < n && list[at].id < chip) at++;
    int bottle = pt_shelf_find(shelf, pt__query_text(&query, 1));
    if (at == n || list[at].id != chip || bottle < 0 ||
        !pt_recipe_add(&list[at].chip.recipe, (size_t)bottle, pt__query_number(&query, 2)))
      status = pt_fail(err, PT_CORRUPT, "Chip %lld in the book %s is damaged; run pourtone book check.",
                       (long long)chip, pt_book_path(book));
  }
  pt__query_close(&query);
  return status;
}

static pt_status load_chips(pt_book *book, const pt_shelf *shelf, pt_chip **out, size_t *n, pt_error *err) {
  static const char sql[] = "SELECT id, thickness_mm, backing, l, a, b, clipped, deviation FROM chip"
                            " ORDER BY id";
  kept_chip *kept = NULL;
  size_t count = 0;
  pt_chip *chips = NULL;
  pt_status status = pt__book_list(book, sizeof(kept_chip), chip_from_row, &kept, &count, err, sql, "");
  if (status == PT_OK && count == 0)
    status = pt_fail(err, PT_TOO_FEW, "The book holds no chips yet; add some with pourtone bottle chips.");
  if (status == PT_OK) status = add_parts(book, shelf, kept, count, err);
  if (status == PT_OK && !(chips = calloc(count, sizeof *chips))) status = pt_fail_memory(err, "the chips");
  if (status == PT_OK) {
    for (size_t i = 0; i < count; i++) chips[i] = kept[i].chip;
    *out = chips;
    *n = count;
  }
  free(kept);
  return status;
}

pt_status pt_chips_load(pt_book *book, pt_shelf **shelf, pt_chip **chips, size_t *n, pt_error *err) {
  pt_shelf *found = NULL;
  pt_status status = pt_shelf_new(&found, err);
  if (status == PT_OK) status = shelf_of_chips(book, found, err);
  if (status == PT_OK) status = load_chips(book, found, chips, n, err);
  if (status == PT_OK)
    *shelf = found;
  else
    pt_shelf_free(found);
  return status;
}

pt_status pt_chips_forget(pt_book *book, const char *slug, size_t *n, pt_error *err) {
  static const char one[] =
      "DELETE FROM chip WHERE id IN (SELECT p.chip FROM chip_part p JOIN lot ON lot.id = p.lot"
      " JOIN bottle b ON b.id = lot.bottle WHERE b.slug = ?)";
  pt_status status = slug ? pt__book_run(book, NULL, err, one, "t", slug)
                          : pt__book_run(book, NULL, err, "DELETE FROM chip", "");
  if (status == PT_OK) *n = (size_t)sqlite3_changes(book->db);
  return status;
}

/* ---- fits ---------------------------------------------------------------------------------------------- */

pt_status pt_fit_keep(pt_book *book, const pt_fit *fit, const char *report, pt_error *err) {
  char *shelf = NULL, now[PT_TIME_ROOM];
  int64_t id = 0, lot;
  pt__book_now(now);
  pt_status status = pt__json_check("A fit's report", report, '{', err);
  if (status == PT_OK) status = pt_shelf_write(fit->shelf, &shelf, err);
  if (status == PT_OK)
    status = pt__book_run(book, &id, err, "INSERT INTO fit (shelf, report, created) VALUES (?, ?, ?)", "ttt",
                          shelf, report, now);
  for (size_t i = 0; i < fit->shelf->n && status == PT_OK; i++) {
    const pt_bottle *bottle = &fit->shelf->bottle[i];
    if (bottle->origin != PT_ORIGIN_FITTED) continue;
    status = pt__lot_at_hand(book, bottle->id, &lot, err);
    if (status == PT_OK)
      status = pt__book_run(book, NULL, err,
                            "INSERT INTO fit_bottle (fit, bottle) SELECT ?, bottle FROM lot WHERE id = ?",
                            "ii", id, lot);
    /* The fit guesses the role from the bottle's color where the maker did not say one. */
    if (status == PT_OK)
      status = pt__book_run(book, NULL, err, "UPDATE bottle SET role = ? WHERE slug = ? AND role = 'color'",
                            "tt", pt_role_name(bottle->role), bottle->id);
  }
  free(shelf);
  return status;
}

pt_status pt_fit_newest(pt_book *book, pt_fit_kept *out, pt_error *err) {
  pt__query query;
  bool row = false;
  pt_status status =
      pt__query_open(book, "SELECT id, created, report FROM fit ORDER BY id DESC LIMIT 1", &query, err, "");
  if (status == PT_OK) status = pt__query_next(&query, &row, err);
  pt_fit_kept found = {0};
  if (status == PT_OK && row) {
    found.id = pt__query_integer(&query, 0);
    pt__query_copy(&query, 1, found.created, sizeof found.created);
    found.report = strdup(pt__query_text(&query, 2));
    if (!found.report) status = pt_fail_memory(err, "the fit's report");
  }
  pt__query_close(&query);
  if (status == PT_OK) *out = found;
  return status;
}
