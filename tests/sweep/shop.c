#include "shop.h"

#include "dropwise/book.h"
#include "run.h"

#include <ctype.h>
#include <dirent.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/sendfile.h>
#include <sys/stat.h>
#include <unistd.h>

static char root_made[SCRATCH_ROOM];

static void remove_made(void) {
  scratch_remove(root_made);
}

void sweep_shop_make(sweep_shop *shop) {
  if (!scratch_make(shop->root, "sweep")) sweep_give_up(shop->root);
  strcpy(root_made, shop->root);
  atexit(remove_made);
  snprintf(shop->work, sizeof shop->work, "%s/work", shop->root);
  snprintf(shop->before, sizeof shop->before, "%s/before", shop->root);
  snprintf(shop->held, sizeof shop->held, "%s/held", shop->root);
  if (mkdir(shop->work, 0700) || mkdir(shop->before, 0700) || mkdir(shop->held, 0700))
    sweep_give_up(shop->work);
}

/* Each entry of a folder but itself and the one above. */
static const char *next_name(DIR *dir) {
  struct dirent *entry;
  while ((entry = readdir(dir)))
    if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0) return entry->d_name;
  return NULL;
}

static DIR *folder_open(const char *path) {
  DIR *dir = opendir(path);
  if (!dir) sweep_give_up(path);
  return dir;
}

static void copy_file(const char *from_folder, const char *to_folder, const char *name) {
  char from[400], to[400];
  struct stat st;
  snprintf(from, sizeof from, "%s/%s", from_folder, name);
  snprintf(to, sizeof to, "%s/%s", to_folder, name);
  int in = open(from, O_RDONLY | O_CLOEXEC), out = open(to, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
  if (in < 0 || out < 0 || fstat(in, &st)) sweep_give_up(name);
  for (off_t at = 0; at < st.st_size;)
    if (sendfile(out, in, &at, (size_t)(st.st_size - at)) <= 0) sweep_give_up(name);
  close(in);
  close(out);
}

static void copy_folder(const char *from, const char *to) {
  const char *name;
  DIR *dir = folder_open(to);
  while ((name = next_name(dir))) {
    char path[400];
    snprintf(path, sizeof path, "%s/%s", to, name);
    scratch_remove(path);
  }
  closedir(dir);
  dir = folder_open(from);
  while ((name = next_name(dir))) copy_file(from, to, name);
  closedir(dir);
}

void sweep_shop_keep(const sweep_shop *shop) {
  copy_folder(shop->work, shop->before);
}

void sweep_shop_reset(const sweep_shop *shop) {
  copy_folder(shop->before, shop->work);
}

/* ---- what is there behind a run ------------------------------------------------------------------------ */

void sweep_timeless(char *text, size_t n) {
  static const char form[] = "0000-00-00T00:00:00";
  for (size_t i = 0; i + sizeof form - 1 <= n; i++) {
    size_t k = 0;
    while (form[k] && (form[k] == '0' ? isdigit((unsigned char)text[i + k]) != 0 : text[i + k] == form[k]))
      k++;
    if (!form[k]) memcpy(text + i, form, sizeof form - 1);
  }
}

static char *file_take(const char *folder, const char *name, size_t *n) {
  char path[400];
  struct stat st;
  snprintf(path, sizeof path, "%s/%s", folder, name);
  int fd = open(path, O_RDONLY | O_CLOEXEC);
  if (fd < 0) return NULL;
  char *text = fstat(fd, &st) == 0 ? malloc((size_t)st.st_size + 1) : NULL;
  if (!text || read(fd, text, (size_t)st.st_size) != st.st_size) sweep_give_up(path);
  close(fd);
  *n = (size_t)st.st_size;
  text[*n] = '\0';
  return text;
}

char *sweep_shop_file(const sweep_shop *shop, const char *name, bool timeless, size_t *n) {
  char *text = file_take(shop->work, name, n);
  if (text && timeless) sweep_timeless(text, *n);
  return text;
}

static char *book_text(const char *path) {
  dw_error err;
  dw_book *book = NULL;
  dw_text found = {0};
  char *text = NULL;
  size_t n;
  dw_status status = dw_book_open(path, DW_BOOK_READ, &book, &err);
  if (status == DW_OK) status = dw_book_check(book, &found, &err);
  if (status == DW_OK) status = dw_book_export(book, DW_EXPORT_ALL, &text, &n, &err);
  dw_book_close(book);
  dw_text_free(&found);
  if (status != DW_OK) return strdup(err.text);
  sweep_timeless(text, n);
  return text;
}

/* The book's file and its log, one behind the other; NULL: no book. */
static char *book_bytes(const sweep_shop *shop, size_t *n) {
  char log[120];
  size_t more = 0;
  snprintf(log, sizeof log, "%s-wal", shop->book);
  char *bytes = file_take(shop->work, shop->book, n), *behind = file_take(shop->work, log, &more);
  if (bytes && behind) {
    bytes = realloc(bytes, *n + more + 1);
    if (!bytes) sweep_give_up(log);
    memcpy(bytes + *n, behind, more + 1);
    *n += more;
  }
  free(behind);
  return bytes;
}

/* Many faults leave a book behind as the one before did, and it takes its time to check. */
char *sweep_shop_book(const sweep_shop *shop) {
  static char *bytes, *text;
  static size_t n;
  char path[120];
  size_t n_now = 0;
  snprintf(path, sizeof path, "%s/%s", shop->work, shop->book);
  char *now = book_bytes(shop, &n_now);
  if (!now) return strdup("no book");
  bool same = bytes && n == n_now && memcmp(now, bytes, n) == 0;
  free(same ? now : bytes);
  if (!same) {
    free(text);
    bytes = now, n = n_now;
    text = book_text(path);
  }
  char *copy = text ? strdup(text) : NULL;
  if (!copy) sweep_give_up(path);
  return copy;
}

bool sweep_shop_book_untouched(const sweep_shop *shop) {
  char log[120];
  struct stat st;
  size_t n = 0, m = 0;
  snprintf(log, sizeof log, "%s/%s-wal", shop->work, shop->book);
  if (stat(log, &st) == 0 && st.st_size > 0) return false;
  char *now = file_take(shop->work, shop->book, &n), *before = file_take(shop->before, shop->book, &m);
  bool same = n == m && (!now || !before ? now == before : memcmp(now, before, n) == 0);
  free(now);
  free(before);
  return same;
}

/* It, or what SQLite keeps beside it until it is opened the next time. */
static bool is_books(const char *name, const char *book) {
  static const char *const ends[] = {"", "-wal", "-shm", "-journal"};
  size_t n = strlen(book);
  for (size_t i = 0; i < sizeof ends / sizeof *ends; i++)
    if (strncmp(name, book, n) == 0 && strcmp(name + n, ends[i]) == 0) return true;
  return false;
}

static bool is_made(const char *name, const char *made) {
  size_t n = made ? strlen(made) : 0;
  if (n && made[n - 1] == '*') return strncmp(name, made, n - 1) == 0;
  return n && strcmp(name, made) == 0;
}

const char *sweep_shop_left(const sweep_shop *shop, const char *made) {
  static char left[256];
  char path[400];
  const char *name;
  *left = '\0';
  DIR *dir = folder_open(shop->work);
  while (!*left && (name = next_name(dir))) {
    snprintf(path, sizeof path, "%s/%s", shop->before, name);
    if (access(path, F_OK) != 0 && !is_books(name, shop->book) && !is_made(name, made))
      snprintf(left, sizeof left, "%s", name);
  }
  closedir(dir);
  return *left ? left : NULL;
}
