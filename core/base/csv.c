/* CSV as RFC 4180 has it: quoted cells, doubled quotes, CRLF or LF, a header line. */
#include "dropwise/base.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { CSV_ROWS_MAX = 1000000, CSV_COLUMNS_MAX = 256 };

typedef struct csv_row {
  size_t first, n; /* cells */
  size_t line;     /* in the file, from 1 */
} csv_row;

struct dw_csv {
  char *name, *text;
  char **cell;
  size_t cells, cells_room;
  csv_row *row;
  size_t rows, rows_room;
  bool open_end;
};

static bool grow(void **array, size_t *room, size_t need, size_t size) {
  if (need <= *room) return true;
  size_t fresh = *room ? *room * 2 : 64, bytes;
  if (!dw_size_mul(fresh, size, &bytes)) return false;
  void *data = realloc(*array, bytes);
  if (!data) return false;
  *array = data;
  *room = fresh;
  return true;
}

static bool add_cell(dw_csv *csv, char *cell) {
  if (!grow((void **)&csv->cell, &csv->cells_room, csv->cells + 1, sizeof *csv->cell)) return false;
  csv->cell[csv->cells++] = cell;
  return true;
}

/* Ends the cell at *end in place and trims blanks around it. */
static char *trimmed(char *cell, char *end) {
  while (end > cell && (end[-1] == ' ' || end[-1] == '\t')) end--;
  *end = '\0';
  return cell + strspn(cell, " \t");
}

/* Reads a quoted cell at p (behind its quote) in place; *cell is its text. NULL when the quote never closes.
 */
static char *quoted_cell(char *p, char **cell, size_t *line) {
  char *out = *cell = p;
  for (;; p++) {
    if (*p == '\0') return NULL;
    if (*p == '\n') ++*line;
    if (*p == '"') {
      if (p[1] != '"') break;
      p++;
    }
    *out++ = *p;
  }
  p++;
  *out = '\0';
  return p;
}

/* One row from p; returns where the next begins, NULL on error. */
static char *parse_row(dw_csv *csv, char *p, size_t *line, dw_error *err) {
  csv_row row = {csv->cells, 0, *line};
  for (;;) {
    char *cell, *end;
    char *start = p + strspn(p, " \t");
    if (*start == '"') {
      end = quoted_cell(start + 1, &cell, line);
      if (!end) {
        dw_fail(err, DW_BAD_INPUT, "%s, line %zu: a quote is opened and never closed.", csv->name, row.line);
        return NULL;
      }
      end += strspn(end, " \t");
      if (*end != ',' && *end != '\r' && *end != '\n' && *end != '\0') {
        dw_fail(err, DW_BAD_INPUT, "%s, line %zu: there is text behind a closing quote.", csv->name, *line);
        return NULL;
      }
    } else {
      end = p + strcspn(p, ",\r\n");
      cell = NULL;
    }
    char stop = *end;
    if (!cell) cell = trimmed(p, end);
    if (++row.n > CSV_COLUMNS_MAX) {
      dw_fail(err, DW_TOO_LARGE, "%s, line %zu has more than %d columns.", csv->name, row.line,
              CSV_COLUMNS_MAX);
      return NULL;
    }
    if (!add_cell(csv, cell)) {
      dw_fail_memory(err, csv->name);
      return NULL;
    }
    p = stop ? end + 1 : end;
    if (stop == ',') continue;
    if (stop == '\r' && *p == '\n') p++;
    if (stop) ++*line;
    break;
  }
  if (row.n == 1 && csv->cell[row.first][0] == '\0') { /* an empty line */
    csv->cells--;
    return p;
  }
  if (csv->rows >= CSV_ROWS_MAX) {
    dw_fail(err, DW_TOO_LARGE, "%s has more than %d lines.", csv->name, CSV_ROWS_MAX);
    return NULL;
  }
  if (!grow((void **)&csv->row, &csv->rows_room, csv->rows + 1, sizeof *csv->row)) {
    dw_fail_memory(err, csv->name);
    return NULL;
  }
  csv->row[csv->rows++] = row;
  return p;
}

dw_status dw_csv_parse(const char *text, size_t n, const char *name, dw_csv **out, dw_error *err) {
  dw_error local;
  if (!err) err = &local;
  if (memchr(text, '\0', n))
    return dw_fail(err, DW_BAD_INPUT, "%s is not a text file: it holds a zero byte.", name);
  dw_csv *csv = calloc(1, sizeof *csv);
  if (!csv) return dw_fail_memory(err, name);
  csv->name = strdup(name);
  csv->text = malloc(n + 1);
  if (!csv->name || !csv->text) {
    dw_csv_free(csv);
    return dw_fail_memory(err, name);
  }
  memcpy(csv->text, text, n);
  csv->text[n] = '\0';
  csv->open_end = n > 0 && text[n - 1] != '\n' && text[n - 1] != '\r';
  char *p = csv->text;
  if (n >= 3 && memcmp(p, "\xEF\xBB\xBF", 3) == 0) p += 3; /* a byte order mark, as spreadsheets write it */
  size_t line = 1;
  while (p && *p) p = parse_row(csv, p, &line, err);
  if (p && csv->rows == 0) {
    dw_fail(err, DW_BAD_INPUT, "%s is empty: a header line is needed.", name);
    p = NULL;
  }
  if (!p) {
    dw_csv_free(csv);
    return err->code;
  }
  *out = csv;
  return DW_OK;
}

size_t dw_csv_rows(const dw_csv *csv) {
  return csv->rows - 1;
}

size_t dw_csv_columns(const dw_csv *csv) {
  return csv->row[0].n;
}

const char *dw_csv_title(const dw_csv *csv, size_t column) {
  return csv->cell[csv->row[0].first + column];
}

int dw_csv_column(const dw_csv *csv, const char *name) {
  for (size_t i = 0; i < csv->row[0].n; i++)
    if (strcasecmp(dw_csv_title(csv, i), name) == 0) return (int)i;
  return -1;
}

const char *dw_csv_cell(const dw_csv *csv, size_t row, size_t column) {
  const csv_row *r = &csv->row[row + 1];
  return column < r->n ? csv->cell[r->first + column] : "";
}

bool dw_csv_may_be_cut(const dw_csv *csv) {
  return csv->open_end;
}

size_t dw_csv_line(const dw_csv *csv, size_t row) {
  return csv->row[row + 1].line;
}

dw_status dw_csv_number(const dw_csv *csv, size_t row, int column, double *out, dw_error *err) {
  const char *cell = column < 0 ? "" : dw_csv_cell(csv, row, (size_t)column);
  if (dw_parse_numbers(cell, 1, out)) return DW_OK;
  return dw_fail(err, DW_BAD_INPUT, "%s, line %zu: \"%.40s\" in column %s is not a number.", csv->name,
                 dw_csv_line(csv, row), cell, column < 0 ? "?" : dw_csv_title(csv, (size_t)column));
}

void dw_csv_free(dw_csv *csv) {
  if (!csv) return;
  free(csv->name);
  free(csv->text);
  free(csv->cell);
  free(csv->row);
  free(csv);
}
