/* Cards described by CGATS.17 text (the syntax of ISO 12642), read by LittleCMS's parser in a context of its
 * own. */
#include "card/sample.h"

#include <ctype.h>
#include <lcms2.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { FILE_MAX_BYTES = 1 << 20, GRAYS_MIN = 4 };
#define CHROMA_MAX 180.0
#define LIGHTNESS_MAX 105.0
/* Y above this means that XYZ runs to 100. */
#define XYZ_UNIT_MAX 1.5

typedef struct reader {
  const char *path;
  cmsContext context;
  cmsHANDLE file;
  char fault[200]; /* what the parser says */
  int id, value[3];
  bool xyz;
  double scale;
  bool seen[DW_CARD_SIDE_MAX][DW_CARD_SIDE_MAX];
  dw_lab lab[DW_CARD_SIDE_MAX][DW_CARD_SIDE_MAX];
} reader;

static void fault_keep(cmsContext context, cmsUInt32Number code, const char *text) {
  reader *r = cmsGetContextUserData(context);
  (void)code;
  if (r == NULL || r->fault[0] != '\0') return;
  /* ": Line 22, ..." has the place of a file's name before the colon, which text in memory has not. */
  dw_copy_text(r->fault, sizeof r->fault, text + strspn(text, ": "));
  r->fault[strcspn(r->fault, "\r\n")] = '\0';
}

/* The parser would open other files at an include line; a card is one file. */
static bool includes_other(const char *text) {
  for (const char *p = text; *p != '\0'; p++)
    if ((*p == '.' || *p == '$') && strncasecmp(p + 1, "INCLUDE", 7) == 0) return true;
  return false;
}

/* Where the first table ends; a card is one table, and the parser gets no more than that. */
static const char *table_end(const char *text) {
  static const char word[] = "END_DATA";
  for (const char *p = text; (p = strcasestr(p, word)) != NULL;) {
    p += sizeof word - 1;
    if (*p != '_') return p;
  }
  return text + strlen(text);
}

/* The parser takes their number when it meets their names and again where data begin, and reads past the names
 * where it has grown by then: it is told once, before them. */
static bool fields_told_once(const char *text) {
  static const char word[] = "NUMBER_OF_FIELDS";
  const char *told = strcasestr(text, word), *names = strcasestr(text, "BEGIN_DATA_FORMAT");
  return told == NULL || ((names == NULL || told < names) && strcasestr(told + 1, word) == NULL);
}

static dw_status file_parse(reader *r, char *text, size_t n, dw_error *err) {
  if (memchr(text, '\0', n) != NULL || includes_other(text))
    return dw_fail(err, DW_BAD_INPUT, "The card file %s is not plain CGATS text: it holds %s.", r->path,
                   includes_other(text) ? "an include line" : "a zero byte");
  if (n >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0) { /* a byte order mark, as spreadsheets write it */
    text += 3;
    n -= 3;
  }
  if (n == 0)
    return dw_fail(err, DW_BAD_INPUT, "The card file %s is empty, so not readable as CGATS.", r->path);
  n = (size_t)(table_end(text) - text);
  text[n] = '\0';
  if (!fields_told_once(text))
    return dw_fail(
        err, DW_BAD_INPUT,
        "The card file %s is not readable as CGATS: NUMBER_OF_FIELDS stands once in a table, before "
        "BEGIN_DATA_FORMAT.",
        r->path);
  r->context = cmsCreateContext(NULL, r);
  if (r->context == NULL) return dw_fail_memory(err, "the card file");
  cmsSetLogErrorHandlerTHR(r->context, fault_keep);
  r->file = cmsIT8LoadFromMem(r->context, text, (cmsUInt32Number)n);
  if (r->file == NULL)
    return dw_fail(err, DW_BAD_INPUT, "The card file %s is not readable as CGATS: %s.", r->path,
                   r->fault[0] ? r->fault : "its tables are incomplete");
  return DW_OK;
}

static dw_status columns_find(reader *r, dw_error *err) {
  static const char *const lab[3] = {"LAB_L", "LAB_A", "LAB_B"}, *const xyz[3] = {"XYZ_X", "XYZ_Y", "XYZ_Z"};
  r->id = cmsIT8FindDataFormat(r->file, "SAMPLE_ID");
  if (r->id < 0)
    return dw_fail(err, DW_BAD_INPUT,
                   "The card file %s has no SAMPLE_ID field: name each patch by row letter and "
                   "column number, A1 to D6.",
                   r->path);
  for (int pass = 0; pass < 2; pass++) {
    bool all = true;
    for (int k = 0; k < 3; k++) {
      r->value[k] = cmsIT8FindDataFormat(r->file, pass == 0 ? lab[k] : xyz[k]);
      all = all && r->value[k] >= 0;
    }
    r->xyz = pass == 1;
    if (all) return DW_OK;
  }
  return dw_fail(
      err, DW_BAD_INPUT,
      "The card file %s has neither LAB_L LAB_A LAB_B nor XYZ_X XYZ_Y XYZ_Z: give the patches' colors for "
      "D50.",
      r->path);
}

/* "B12" is row 1, column 11; beyond Z come AA, AB ... */
static bool id_split(const char *id, size_t *row, size_t *column) {
  size_t letters = 0, place = 0;
  for (; letters < 3 && isalpha((unsigned char)id[letters]); letters++)
    place = 26 * place + (size_t)(toupper((unsigned char)id[letters]) - 'A') + 1;
  const char *digits = id + letters;
  size_t number = 0, count = strspn(digits, "0123456789");
  for (size_t i = 0; i < count && i < 4; i++) number = 10 * number + (size_t)(digits[i] - '0');
  if (letters == 0 || letters > 2 || count == 0 || count > 3 || digits[count] != '\0' || number == 0)
    return false;
  *row = place - 1;
  *column = number - 1;
  return true;
}

static dw_status number_get(const reader *r, int set, int field, double *out, dw_error *err) {
  const char *text = cmsIT8GetDataRowCol(r->file, set, r->value[field]);
  if (text != NULL && dw_parse_number_in(text, -1000.0, 1000.0, out)) return DW_OK;
  return dw_fail(err, DW_BAD_INPUT, "The card file %s has \"%.40s\" where data line %d needs a number.",
                 r->path, text ? text : "", set + 1);
}

static dw_status color_get(const reader *r, int set, const char *id, dw_lab *out, dw_error *err) {
  double v[3];
  dw_status status = DW_OK;
  for (int k = 0; k < 3 && status == DW_OK; k++) status = number_get(r, set, k, &v[k], err);
  if (status != DW_OK) return status;
  dw_lab lab = {v[0], v[1], v[2]};
  if (r->xyz) lab = dw_lab_from_xyz((dw_xyz){v[0] * r->scale, v[1] * r->scale, v[2] * r->scale});
  if (!(lab.L >= 0.0 && lab.L <= LIGHTNESS_MAX) || hypot(lab.a, lab.b) > CHROMA_MAX)
    return dw_fail(err, DW_BAD_INPUT, "Patch %s in the card file %s has an impossible color (%g, %g, %g).",
                   id, r->path, v[0], v[1], v[2]);
  *out = lab;
  return DW_OK;
}

/* XYZ in 0..100 or 0..1, by the largest Y. */
static dw_status scale_find(reader *r, int sets, dw_error *err) {
  double most = 0.0, y;
  r->scale = 1.0;
  for (int i = 0; i < sets && r->xyz; i++) {
    dw_status status = number_get(r, i, 1, &y, err);
    if (status != DW_OK) return status;
    most = fmax(most, y);
  }
  if (most > XYZ_UNIT_MAX) r->scale = 0.01;
  return DW_OK;
}

static dw_status set_read(reader *r, int set, size_t *rows, size_t *cols, dw_error *err) {
  const char *id = cmsIT8GetDataRowCol(r->file, set, r->id);
  size_t row, column;
  if (id == NULL || !id_split(id, &row, &column))
    return dw_fail(
        err, DW_BAD_INPUT,
        "The card file %s has the SAMPLE_ID \"%.40s\" in data line %d: name each patch by row letter and "
        "column number, A1 to D6.",
        r->path, id ? id : "", set + 1);
  if (row >= DW_CARD_SIDE_MAX || column >= DW_CARD_SIDE_MAX)
    return dw_fail(err, DW_TOO_LARGE, "Patch %.8s in the card file %s lies beyond %d rows or columns.", id,
                   r->path, DW_CARD_SIDE_MAX);
  if (r->seen[row][column])
    return dw_fail(err, DW_BAD_INPUT, "The card file %s has patch %.8s twice.", r->path, id);
  r->seen[row][column] = true;
  if (row + 1 > *rows) *rows = row + 1;
  if (column + 1 > *cols) *cols = column + 1;
  return color_get(r, set, id, &r->lab[row][column], err);
}

static void id_write(size_t row, size_t column, char out[8]) {
  const char first = (char)('A' + (row >= 26 ? row / 26 - 1 : row)), second = (char)('A' + row % 26);
  if (row < 26)
    snprintf(out, 8, "%c%u", first, (unsigned)(column + 1) % 1000u);
  else
    snprintf(out, 8, "%c%c%u", first, second, (unsigned)(column + 1) % 1000u);
}

static dw_status grid_fill(const reader *r, dw_card *card, dw_error *err) {
  size_t grays = 0;
  for (size_t i = 0; i < card->rows * card->cols; i++) {
    const size_t row = i / card->cols, column = i % card->cols;
    id_write(row, column, card->id[i]);
    if (!r->seen[row][column])
      return dw_fail(err, DW_BAD_INPUT,
                     "The card file %s has a hole in its grid of %zu x %zu: patch %s is missing.", r->path,
                     card->rows, card->cols, card->id[i]);
    card->lab[i] = r->lab[row][column];
    grays += dw__patch_gray(card->lab[i]);
  }
  if (grays < GRAYS_MIN)
    return dw_fail(
        err, DW_BAD_INPUT,
        "The card file %s has only %zu grays (chroma below %g) and %d are needed for the tone curve.",
        r->path, grays, DW__GRAY_CHROMA, GRAYS_MIN);
  return DW_OK;
}

static dw_status sets_read(reader *r, dw_card *card, dw_error *err) {
  const double told =
      cmsIT8GetPropertyDbl(r->file, "NUMBER_OF_SETS"); /* any number: the parser bounds nothing */
  if (!(told >= 1 && told <= DW_CARD_PATCHES_MAX))
    return dw_fail(err, told > DW_CARD_PATCHES_MAX ? DW_TOO_LARGE : DW_BAD_INPUT,
                   "The card file %s has %.15g patches; 1 to %d can be used.", r->path, told,
                   DW_CARD_PATCHES_MAX);
  const int sets = (int)told;
  dw_status status = scale_find(r, sets, err);
  for (int i = 0; i < sets && status == DW_OK; i++) status = set_read(r, i, &card->rows, &card->cols, err);
  if (status != DW_OK) return status;
  if (card->rows < 2 || card->cols < 2 || card->rows * card->cols > DW_CARD_PATCHES_MAX)
    return dw_fail(
        err, DW_BAD_INPUT,
        "The card file %s describes %zu x %zu patches; a card has at least 2 rows and 2 columns and at "
        "most %d patches.",
        r->path, card->rows, card->cols, DW_CARD_PATCHES_MAX);
  return grid_fill(r, card, err);
}

/* The file's own name for the card, else its file name. */
static void title_find(const reader *r, dw_card *card) {
  const char *title = cmsIT8GetProperty(r->file, "DESCRIPTOR"), *slash = strrchr(r->path, '/');
  if (title == NULL || title[0] == '\0') title = slash != NULL ? slash + 1 : r->path;
  dw_copy_text(card->title, sizeof card->title, title);
  for (char *p = card->title; *p != '\0'; p++)
    if (iscntrl((unsigned char)*p)) *p = ' ';
}

dw_status dw_card_load(const char *path, dw_card *out, dw_error *err) {
  char *text = NULL;
  size_t n = 0;
  dw_card *card = calloc(1, sizeof *card);
  reader *r = calloc(1, sizeof *r);
  dw_status status = card == NULL || r == NULL ? dw_fail_memory(err, "the card file") : DW_OK;
  if (status == DW_OK) status = dw_file_read(path, FILE_MAX_BYTES, &text, &n, err);
  if (status != DW_OK) goto out;
  r->path = path;
  status = file_parse(r, text, n, err);
  if (status == DW_OK) status = columns_find(r, err);
  if (status == DW_OK) status = sets_read(r, card, err);
  if (status != DW_OK) goto out;
  title_find(r, card);
  *out = *card;
out:
  if (r != NULL && r->file != NULL) cmsIT8Free(r->file);
  if (r != NULL && r->context != NULL) cmsDeleteContext(r->context);
  free(r);
  free(card);
  free(text);
  return status;
}
