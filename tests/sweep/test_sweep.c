/* The 1st, 2nd, 3rd ... allocation or system call of a job fails, until the job meets none that does.
 *
 * Use: test_sweep allocations|calls|reads usual|all SOURCE BINARY [JOB...]
 * usual   the main jobs: the first 300 allocations and every 200th behind them; the system calls that change files,
 *         and of those that read every third: in a row of the same ones the first six and every eighth, of
 *         processes that do the same every sixth; a full disk only where one can be met
 * all     all of all jobs */
#include "book/file_local.h"
#include "dropwise/photo.h"
#include "judge.h"
#include "tree.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { ALONE = 1, LONG = 2, STAYS = 4, MANY = 8 };

typedef struct job {
  const char *name;
  const char *program; /* whose allocations fail */
  int how; /* ALONE: what its plugins do is swept in another job; MANY: it starts many processes that do the same; LONG:
            * in tests/long.sh only; STAYS: judge.h */
  const char *words; /* of the command, in its folder */
  const char *made;  /* the file that it writes; with a * at its end the beginning of its name */
  const char *book;  /* NULL: book.db */
} job;

#define BOOK " --book book.db"
#define MARKED "read photo.jpg --marks marks.json"

static const job jobs[] = {
    {"read", "dropwise", 0, MARKED " --html read.html", "read.html", NULL},
    {"read, decoder", "dropwise-decode", 0, MARKED " --json", NULL, NULL},
    {"read, kept", "dropwise", LONG, MARKED " --pattern creek --batch 1" BOOK, NULL, NULL},
    {"save marks", "dropwise", LONG, MARKED " --save-marks kept.json", "kept.json", NULL},
    {"find", "dropwise", 0, "find small.png --layers 3 --json --svg found.svg", "found.svg", NULL},
    {"find, decoder", "dropwise-decode", 0, "find small.png --layers 3 --json", NULL, NULL},
    {"chips", "dropwise", LONG, "bottle chips more.csv" BOOK, NULL, NULL},
    {"fit", "dropwise", 0, "bottle fit" BOOK, NULL, NULL},
    {"advise", "dropwise", MANY, "advise --pattern creek --json" BOOK, NULL, NULL},
    {"advise by photo", "dropwise", LONG | MANY,
     "advise --pattern creek --photo photo.jpg --marks marks.json" BOOK, NULL, NULL},
    {"pour", "dropwise", ALONE, "pour creek --layer back --cup orange=12,brown=4 --measured 33,8,12" BOOK,
     NULL, NULL},
    {"drift", "dropwise", ALONE, "drift creek --html drift.html" BOOK, "drift.html", NULL},
    {"check", "dropwise", 0, "book check --json" BOOK, NULL, NULL},
    {"export", "dropwise", 0, "book export out.json" BOOK, "out.json", NULL},
    {"export, output", "dropwise", LONG, "book export" BOOK, NULL, NULL},
    {"export, CGATS", "dropwise", LONG, "book export --cgats out.txt" BOOK, "out.txt", NULL},
    {"import", "dropwise", 0, "book import export.json --book new.db", NULL, "new.db"},
    {"backup", "dropwise", LONG, "book backup copy.db" BOOK, "copy.db", NULL},
    {"restore", "dropwise", LONG, "book restore backup.db" BOOK, "book.db.before-restore-*", NULL},
    {"undo", "dropwise", LONG, "undo" BOOK, NULL, NULL},
    {"migrate", "dropwise", LONG | STAYS, "pattern list --book old.db", "old.db.version-*", "old.db"},
};

/* What the book holds before each job. */
static const char *const setup[] = {
    "settings units metric" BOOK,
    "bottle chips few.csv" BOOK,
    "bottle fit" BOOK,
    "pattern add creek --layer back --layer middle --layer belly" BOOK,
    "target set creek --photo photo.jpg --marks marks.json" BOOK,
    "tone add dark --lab 30,5,8 --lab 31,6,9 --lab 29,4,8" BOOK,
    "pour creek --advised" BOOK,
    "pour creek --photo photo.jpg --marks marks.json" BOOK,
    "book backup backup.db" BOOK,
    "book export export.json" BOOK,
    "settings volume 3floz --book new.db",
};

enum { WORDS_MAX = 32 };

typedef struct settings {
  sweep_kind kind;
  bool all;
  const char *source, *binary;
  char *const *wanted; /* jobs; NULL-terminated, none: all */
} settings;

/* Splits a copy of the text at its blanks. The copy is words[WORDS_MAX], to be freed. */
static void words_of(const settings *how, const char *text, char *words[WORDS_MAX + 1]) {
  static char program[400];
  size_t n = 0;
  char *copy = strdup(text), *next = NULL;
  if (!copy) sweep_give_up(text);
  snprintf(program, sizeof program, "%s/dropwise", how->binary);
  words[n++] = program;
  for (char *word = strtok_r(copy, " ", &next); word && n < WORDS_MAX - 1; word = strtok_r(NULL, " ", &next))
    words[n++] = word;
  words[n] = NULL;
  words[WORDS_MAX] = copy;
}

static void run_text(const settings *how, const sweep_shop *place, const char *text, const sweep_fault *fault,
                     sweep_run *run) {
  char *words[WORDS_MAX + 1];
  words_of(how, text, words);
  sweep_run_one(words, place->work, fault, run);
  free(words[WORDS_MAX]);
}

/* ---- what a run begins with ---------------------------------------------------------------------------- */

static void shell(const char *command) {
  if (system(command) == 0) return;
  fprintf(stderr, "failed: %s\n", command);
  exit(2);
}

static void fetch_samples(const settings *how, const sweep_shop *place) {
  char command[2000];
  snprintf(command, sizeof command,
           "cd %s && cp %s/samples/crawfish-1.jpg photo.jpg && cp %s/samples/crawfish-1.marks.json marks.json"
           " && head -26 %s/samples/chips.csv > few.csv"
           " && { head -1 %s/samples/chips.csv; tail -3 %s/samples/chips.csv; } > more.csv",
           place->work, how->source, how->source, how->source, how->source, how->source);
  shell(command);
}

/* The search takes its time by the pixel. */
static void shrink_photo(const sweep_shop *place) {
  enum { SIDE = 360 };
  char from[120], to[120];
  dw_error err;
  dw_photo *photo = NULL;
  dw_preview preview;
  uint8_t *bytes = NULL;
  size_t n = 0;
  dw_arena *arena = dw_arena_new((size_t)64 << 20);
  snprintf(from, sizeof from, "%s/photo.jpg", place->work);
  snprintf(to, sizeof to, "%s/small.png", place->work);
  dw_status status = dw_photo_open(from, NULL, &photo, &err);
  if (status == DW_OK) status = dw_photo_preview(photo, SIDE, arena, &preview, &err);
  if (status == DW_OK) status = dw_preview_png(&preview, &bytes, &n, &err);
  if (status == DW_OK) status = dw_file_write(to, bytes, n, &err);
  if (status != DW_OK) {
    fprintf(stderr, "%s\n", err.text);
    exit(2);
  }
  free(bytes);
  dw_photo_close(photo);
  dw_arena_free(arena);
}

static void prepare(const settings *how, sweep_shop *place) {
  char old[120];
  sweep_run run = {0};
  const sweep_fault none = {.program = "dropwise"};
  sweep_shop_make(place);
  fetch_samples(how, place);
  shrink_photo(place);
  for (size_t i = 0; i < sizeof setup / sizeof *setup; i++) {
    run_text(how, place, setup[i], &none, &run);
    if (run.code == 0) continue;
    fprintf(stderr, "%s: %d: %s", setup[i], run.code, run.err);
    exit(2);
  }
  sweep_run_free(&run);
  snprintf(old, sizeof old, "%s/old.db", place->work);
  make_old(old, dw_book_schema_version() - 1);
  sweep_shop_keep(place);
}

/* ---- one job ------------------------------------------------------------------------------------------- */

typedef struct tally {
  long points, copies, tolerated, faults; /* copies: of the points, those that tree.h met */
} tally;

static const char *name_of(sweep_kind kind) {
  return kind == SWEEP_ALLOCATIONS ? "allocation" : kind == SWEEP_CHANGES ? "call" : "read";
}

static void tell_fault(const job *what, const sweep_fault *fault, const sweep_run *run, const char *words) {
  enum { SHOWN = 300 };
  printf("FAULT %s: %s %ld", what->name, name_of(fault->kind), fault->at);
  if (fault->kind != SWEEP_ALLOCATIONS)
    printf(" (number %d, %s)", run->call,
           fault->error == SWEEP_SHORT ? "short" : strerrorname_np(fault->error));
  printf(": %s; code %d; %.*s%s", words, run->code, SHOWN, run->err,
         run->n_err && run->n_err <= SHOWN ? "" : "\n");
  fflush(stdout);
}

/* What the job's calls are, where nothing fails. */
static sweep_call seen[SWEEP_CALLS_MAX];

static bool left_out(const settings *how, const sweep_fault *fault) {
  enum { FIRST = 6, EVERY = 8 };
  if (how->kind == SWEEP_ALLOCATIONS || how->all || fault->at >= SWEEP_CALLS_MAX) return false;
  const sweep_call *call = &seen[fault->at];
  if (call->row >= FIRST && call->row % EVERY != 0) return true;
  return how->kind == SWEEP_READS ? fault->at % 3 != 0 : fault->error == ENOSPC && !call->fills;
}

typedef struct sweeping {
  const settings *how;
  const sweep_shop *place;
  const job *what;
  const sweep_right *right;
  sweep_fault fault;
  sweep_tree tree; /* the points that copies of one run have met already */
  tally sum;
} sweeping;

static void judge_point(sweeping *s, const sweep_run *run) {
  const char *words = sweep_judge(s->place, s->what->made, s->right, run);
  s->sum.points += run->count >= s->fault.at;
  s->sum.tolerated += !words && run->code == s->right->run.code;
  s->sum.faults += words != NULL;
  if (words) tell_fault(s->what, &s->fault, run, words);
}

/* false: it lies behind the job's last one */
static bool point(sweeping *s) {
  static sweep_run run;
  if (left_out(s->how, &s->fault) || sweep_tree_done(&s->tree, s->fault.at)) return true;
  sweep_shop_reset(s->place);
  run_text(s->how, s->place, s->what->words, &s->fault, &run);
  judge_point(s, &run);
  return run.count >= s->fault.at;
}

static void judge_copy(void *data, const sweep_run *run, long at) {
  sweeping *s = data;
  s->fault.at = at;
  s->sum.copies++;
  judge_point(s, run);
}

/* What copies can show; the program between them, in which nothing failed, must come to the right end. */
static void sweep_copies(sweeping *s) {
  static sweep_run trunk;
  char *words[WORDS_MAX + 1];
  s->tree = (sweep_tree){.place = s->place, .all = s->how->all, .judge = judge_copy, .data = s};
  sweep_shop_reset(s->place);
  words_of(s->how, s->what->words, words);
  sweep_tree_run(&s->tree, words, &s->fault, &trunk);
  free(words[WORDS_MAX]);
  const char *fault = sweep_judge(s->place, s->what->made, s->right, &trunk);
  if (!fault && trunk.code != s->right->run.code) fault = "the program between its copies failed";
  s->fault.at = 0;
  s->sum.faults += fault != NULL;
  if (fault) tell_fault(s->what, &s->fault, &trunk, fault);
}

static void sweep(sweeping *s) {
  bool allocations = s->how->kind == SWEEP_ALLOCATIONS;
  if (allocations && strcmp(s->what->program, "dropwise") == 0) sweep_copies(s);
  for (s->fault.at = 1; point(s);) s->fault.at = sweep_next(s->fault.at, !allocations || s->how->all);
  sweep_tree_free(&s->tree);
}

static sweep_whose whose_of(const settings *how, const job *what) {
  if (what->how & ALONE) return SWEEP_OWN;
  return what->how & MANY && !how->all && how->kind != SWEEP_ALLOCATIONS ? SWEEP_SOME : SWEEP_ALL;
}

/* The run in which nothing fails; its count. */
static long take_right(const settings *how, sweep_shop *place, const job *what, sweep_fault fault,
                       sweep_right *right) {
  sweep_run run = {0};
  fault.seen = seen;
  sweep_shop_reset(place);
  run_text(how, place, what->words, &fault, &run);
  if (run.code) {
    fprintf(stderr, "%s: %d: %s", what->words, run.code, run.err);
    exit(2);
  }
  long count = run.count;
  sweep_right_take(place, what->made, &run, right);
  right->stays = what->how & STAYS;
  return count;
}

static tally sweep_job(const settings *how, sweep_shop *place, const job *what) {
  static const int errors[][2] = {[SWEEP_ALLOCATIONS] = {0, 0}, {EIO, ENOSPC}, {EIO, SWEEP_SHORT}};
  sweep_right right;
  sweeping s = {how, place, what, &right, {.kind = how->kind, .program = what->program}, {0}, {0}};
  const tally *sum = &s.sum;
  s.fault.whose = whose_of(how, what);
  place->book = what->book ? what->book : "book.db";
  long count = take_right(how, place, what, s.fault, &right);
  for (size_t i = 0; i < (how->kind == SWEEP_ALLOCATIONS ? 1 : 2); i++) {
    s.fault.error = errors[how->kind][i];
    sweep(&s);
  }
  printf("%-16s %6ld %ss, %5ld made to fail, %5ld in copies: %4ld did no harm, %ld faults\n", what->name,
         count, name_of(how->kind), sum->points, sum->copies, sum->tolerated, sum->faults);
  fflush(stdout);
  sweep_right_free(&right);
  return s.sum;
}

static bool is_wanted(const settings *how, const job *what) {
  if (how->kind != SWEEP_ALLOCATIONS && strcmp(what->program, "dropwise") != 0)
    return false; /* among those of its starter */
  for (char *const *w = how->wanted; *w; w++)
    if (strcmp(*w, what->name) == 0) return true;
  return *how->wanted == NULL && (how->all || !(what->how & LONG));
}

int main(int argc, char **argv) {
  if (argc < 5) return 2;
  settings how = {sweep_kind_of(argv[1]), strcmp(argv[2], "all") == 0, argv[3], argv[4], argv + 5};
  sweep_shop place;
  tally all = {0};
  prepare(&how, &place);
  for (size_t i = 0; i < sizeof jobs / sizeof *jobs; i++) {
    if (!is_wanted(&how, &jobs[i])) continue;
    tally sum = sweep_job(&how, &place, &jobs[i]);
    all.points += sum.points;
    all.faults += sum.faults;
  }
  printf("%ld points, %ld faults\n", all.points, all.faults);
  return all.points > 0 && all.faults == 0 ? 0 : 1;
}
