#include "app/cli/args_recipe.h"
#include "dropwise/names.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const cli_option *find_in(const cli_option *options, const char *name, size_t length) {
  for (; options->name; options++)
    if (strlen(options->name) == length && strncmp(options->name, name, length) == 0) return options;
  return NULL;
}

/* "-5" and "-5,3,2" are values; "--name" and "-x" are options. */
static bool looks_like_option(const char *word) {
  return word[0] == '-' && word[1] != '\0' && !isdigit((unsigned char)word[1]) && word[1] != '.';
}

static dw_status lacks_option(const cli_command *command, const char *word, size_t length, dw_error *err) {
  char name[61], meant[DW_NEAREST_WORDS_ROOM];
  snprintf(name, sizeof name, "%.*s", (int)(length < 60 ? length : 60), word);
  dw_nearest nearest = {.word = name};
  for (const cli_option *o = command->options; o->name; o++) dw_nearest_offer(&nearest, o->name);
  for (const cli_option *o = cli_common_options; o->name; o++) dw_nearest_offer(&nearest, o->name);
  dw_nearest_words(&nearest, meant);
  return dw_fail(err, DW_USAGE, "\"%s\" is not an option of %s.%s See dropwise %s --help.", name,
                 command->name, meant, command->name);
}

/* Whether a word is one of the command's options, and so hardly the value of another. */
static bool is_option(const cli_command *command, const char *word) {
  size_t length = strcspn(word, "=");
  return find_in(command->options, word, length) || find_in(cli_common_options, word, length);
}

/* Whether its value is a place on the disk, which is never empty. */
static bool names_file(const cli_option *option) {
  static const char *const places[] = {"FILE", "DIR", "PHOTO"};
  for (size_t i = 0; option->value && i < sizeof places / sizeof *places; i++)
    if (strcmp(option->value, places[i]) == 0) return true;
  return false;
}

/* "-" is the standard input, or where the option writes, the standard output. */
static dw_status file_of(cli_args *args, const cli_option *option, const char **value, dw_error *err) {
  static const char *const writing[] = {"--html", "--save-marks", "--svg", "--picture"};
  if (**value == '\0')
    return dw_fail(err, DW_USAGE, "%s is empty where a %s is meant: is a variable of the shell not set?",
                   option->name, option->value);
  if (strcmp(*value, "-") != 0 || strcmp(option->value, "FILE") != 0) return DW_OK;
  if (strcmp(option->name, "--book") == 0)
    return dw_fail(err, DW_USAGE, "A book is a file; it can't be the standard input.");
  for (size_t i = 0; i < sizeof writing / sizeof *writing; i++) {
    if (strcmp(option->name, writing[i]) != 0) continue;
    if (args->answer_is)
      return dw_fail(err, DW_USAGE, "%s and %s can't both go to the standard output.", args->answer_is,
                     option->name);
    args->answer_is = option->name;
    *value = "/dev/stdout";
    return DW_OK;
  }
  *value = cli_input("-");
  return DW_OK;
}

/* slot  where it stands then: an option's own, or that of the recipe that it goes on with */
static dw_status keep_option(cli_args *args, const cli_option *option, const char *value, size_t *slot,
                             dw_error *err) {
  *slot = cli_recipe_goes_on(option) ? cli_recipe_slot(args, option->name, value) : args->n_options;
  if (*slot < args->n_options) return cli_recipe_join(args, *slot, value, err);
  if (*slot == CLI_OPTIONS_MAX) return dw_fail(err, DW_USAGE, "There are too many options.");
  args->option[args->n_options].name = option->name;
  args->option[args->n_options++].value = value;
  return DW_OK;
}

/* used  of word and the words behind it (next: the first, NULL at the end) */
static dw_status take_option(cli_args *args, const char *word, char **next, int *used, dw_error *err) {
  const char *equals = strchr(word, '=');
  size_t length = equals ? (size_t)(equals - word) : strlen(word);
  const cli_option *option = find_in(args->command->options, word, length);
  if (!option) option = find_in(cli_common_options, word, length);
  if (!option) return lacks_option(args->command, word, length, err);
  if (!option->value && equals) return dw_fail(err, DW_USAGE, "%s takes no value.", option->name);
  const char *value = equals ? equals + 1 : option->value ? *next : "";
  if (!value || (option->value && !equals && is_option(args->command, value)))
    return dw_fail(err, DW_USAGE, "%s needs a value: %s.", option->name, option->value);
  *used = option->value && !equals ? 2 : 1;
  size_t slot;
  dw_status status = names_file(option) ? file_of(args, option, &value, err) : DW_OK;
  if (status == DW_OK) status = keep_option(args, option, value, &slot, err);
  /* "--cup orange=12 brown=4", and what a shell makes of "orange=12, brown=4". */
  for (next += *used - 1; status == DW_OK && cli_takes_recipe(option) && *next && cli_recipe_part(*next);
       next++, ++*used)
    status = cli_recipe_join(args, slot, *next, err);
  return status;
}

/* Swatches only where a person looks at a terminal that can show them. */
static bool terminal_shows_color(void) {
  const char *no_color = getenv("NO_COLOR"), *term = getenv("TERM");
  if ((no_color && *no_color) || !term || strcmp(term, "dumb") == 0) return false;
  return isatty(STDOUT_FILENO) != 0;
}

dw_status cli_parse(const cli_command *command, int argc, char **argv, cli_args *out, dw_error *err) {
  *out = (cli_args){.command = command, .given = argv, .arena = dw_arena_new(0)};
  if (!out->arena) return dw_fail_memory(err, "the arguments");
  bool only_words = false;
  for (int i = 0; i < argc;) {
    const char *word = argv[i];
    int used = 1;
    if (!only_words && strcmp(word, "--") == 0) {
      only_words = true;
    } else if (!only_words && strcmp(word, "-h") == 0) {
      out->help = true;
    } else if (!only_words && looks_like_option(word)) {
      dw_status status = take_option(out, word, argv + i + 1, &used, err);
      if (status != DW_OK) return status;
    } else if (out->n_words == CLI_WORDS_MAX) {
      return dw_fail(err, DW_USAGE, "At most %d files or values can be given at once.", CLI_WORDS_MAX);
    } else {
      out->word[out->n_words++] = word;
    }
    i += used;
  }
  out->help = out->help || cli_has(out, "--help");
  out->json = cli_has(out, "--json");
  if (out->json && out->answer_is)
    return dw_fail(err, DW_USAGE, "--json and %s can't both go to the standard output.", out->answer_is);
  out->style.color = terminal_shows_color();
  if (cli_has(out, "--metric") && cli_has(out, "--us"))
    return dw_fail(err, DW_USAGE, "Give either --metric or --us, not both.");
  return DW_OK;
}

static dw_status help_or_run(cli_args *args, dw_error *err) {
  if (args->help) {
    cli_help(args->command, stdout);
    return cli_printed(err);
  }
  dw_status status = cli_settings_take(args, err);
  return status == DW_OK ? args->command->run(args, err) : status;
}

dw_status cli_run(const cli_command *command, int argc, char **argv, dw_error *err) {
  cli_outcome outcome = {.kept = ""};
  cli_args *args = malloc(sizeof *args);
  if (!args) return dw_fail_memory(err, "the arguments");
  dw_status status = cli_parse(command, argc, argv, args, err);
  args->outcome = &outcome;
  if (status == DW_OK) status = help_or_run(args, err);
  if (status != DW_OK && *outcome.kept)
    status = dw_fail(err, DW_IO, "%s; only its report could not be written: %.250s Do not enter it again.",
                     outcome.kept, err->text);
  cli_marks_files_free(outcome.marks);
  dw_arena_free(args->arena);
  free(args);
  return status;
}

void cli_remark(const char *sentence) {
  fprintf(stderr, "dropwise: %s\n", sentence);
}

void cli_complain(const dw_error *err) {
  cli_remark(err->text);
}

int cli_exit(dw_status status, const dw_error *err) {
  if (status != DW_OK) cli_complain(err);
  return dw_status_exit_code(status);
}

dw_status cli_find_command(int argc, char **argv, int *at, dw_error *err) {
  int i = 1;
  while (i < argc && looks_like_option(argv[i])) {
    const cli_option *option = find_in(cli_common_options, argv[i], strcspn(argv[i], "="));
    if (!option)
      return dw_fail(err, DW_USAGE,
                     "\"%.60s\" is not an option of every command; write it behind the command's "
                     "name. See dropwise --help.",
                     argv[i]);
    i += option->value && !strchr(argv[i], '=') ? 2 : 1;
  }
  if (i >= argc) return dw_fail(err, DW_USAGE, "A command is missing; dropwise --help lists them.");
  *at = i;
  return DW_OK;
}

const char *cli_next(const cli_args *args, const char *name, size_t *at) {
  while (*at < args->n_options) {
    size_t i = (*at)++;
    if (strcmp(args->option[i].name, name) == 0) return args->option[i].value;
  }
  return NULL;
}

size_t cli_count(const cli_args *args, const char *name) {
  size_t n = 0;
  for (size_t at = 0; cli_next(args, name, &at);) n++;
  return n;
}

dw_status cli_each(const cli_args *args, const char *name, size_t i, size_t n, const char *things,
                   const char **out, dw_error *err) {
  size_t given = cli_count(args, name), at = 0;
  *out = cli_value(args, name);
  if (n <= 1 || given <= 1) return DW_OK;
  if (given != n)
    return dw_fail(err, DW_USAGE, "Give one %s for all, or one for each of the %zu %s.", name, n, things);
  for (size_t value = 0; value <= i; value++) *out = cli_next(args, name, &at);
  return DW_OK;
}

const char *cli_value(const cli_args *args, const char *name) {
  const char *value, *last = NULL;
  for (size_t at = 0; (value = cli_next(args, name, &at));) last = value;
  return last;
}

bool cli_has(const cli_args *args, const char *name) {
  return cli_value(args, name) != NULL;
}

dw_status cli_number(const cli_args *args, const char *name, double min, double max, double fallback,
                     double *out, dw_error *err) {
  const char *text = cli_value(args, name);
  *out = fallback;
  if (!text || dw_parse_number_in(text, min, max, out)) return DW_OK;
  return dw_fail(err, DW_USAGE, "%s takes a number from %g to %g, not \"%.40s\".", name, min, max, text);
}

dw_status cli_whole(const cli_args *args, const char *name, size_t min, size_t max, size_t fallback,
                    size_t *out, dw_error *err) {
  double number;
  dw_status status = cli_number(args, name, (double)min, (double)max, (double)fallback, &number, err);
  if (status != DW_OK) return status;
  *out = (size_t)number;
  if ((double)*out == number) return DW_OK;
  return dw_fail(err, DW_USAGE, "%s takes a whole number from %zu to %zu.", name, min, max);
}

dw_status cli_volume(const cli_args *args, const char *name, double min_floz, double max_floz,
                     double fallback_floz, double *out_floz, dw_error *err) {
  const char *text = cli_value(args, name);
  *out_floz = fallback_floz;
  return text ? dw_volume_within(name, text, args->style.units, min_floz, max_floz, out_floz, err) : DW_OK;
}

dw_status cli_lab(const char *text, const char *what, dw_lab *out, dw_error *err) {
  double v[3];
  if (!dw_parse_numbers(text, 3, v) || v[0] < 0 || v[0] > 100 || v[1] < -200 || v[1] > 200 || v[2] < -200 ||
      v[2] > 200)
    return dw_fail(err, DW_USAGE,
                   "%s: \"%.60s\" is not a Lab color; write L,a,b, as in 52.1,18.5,40 (L* from 0 to 100).",
                   what, text);
  *out = (dw_lab){v[0], v[1], v[2]};
  return DW_OK;
}

dw_status cli_words(const cli_args *args, size_t min, size_t max, const char *expected, dw_error *err) {
  if (args->n_words >= min && args->n_words <= max) return DW_OK;
  if (args->n_words > max && max == 0)
    return dw_fail(err, DW_USAGE, "%s takes options only; \"%.60s\" is too much.", args->command->name,
                   args->word[0]);
  return dw_fail(err, DW_USAGE, "%s needs %s; see dropwise %s --help.", args->command->name, expected,
                 args->command->name);
}
