/* The command line: a table of commands, each with a table of options, from which parsing and help both
 * follow. */
#ifndef DROPWISE_APP_CLI_H
#define DROPWISE_APP_CLI_H

#include "dropwise/book_settings.h"
#include "dropwise/report_blend.h"

typedef struct cli_option {
  const char *name;  /* "--target" */
  const char *value; /* "LAB"; NULL for a switch */
  const char *help;  /* what it does, its unit and default */
} cli_option;

typedef struct cli_args cli_args;

typedef struct cli_command {
  const char *name;
  const char *summary;       /* one line */
  const char *usage;         /* behind "dropwise NAME " */
  const char *about;         /* a paragraph, or "" */
  const char *example;       /* a full command line */
  const cli_option *options; /* ended by a NULL name */
  dw_status (*run)(const cli_args *args, dw_error *err);
  bool settings; /* it goes by the book's settings: shows or takes volumes, drops or temperatures */
} cli_command;

extern const cli_command cli_settings, cli_mold, cli_plan, cli_heat, cli_turn, cli_drizzle;
extern const cli_command cli_find, cli_read, cli_compare, cli_predict, cli_advise, cli_plugins, cli_bench,
    cli_sheet;
extern const cli_command cli_pattern, cli_target, cli_tone, cli_bottle, cli_pour, cli_drift, cli_book;
extern const cli_command cli_reading, cli_blend, cli_batch, cli_undo, cli_redo, cli_history;

/* ---- arguments as parsed ------------------------------------------------------------------------------- */
enum { CLI_OPTIONS_MAX = 256, CLI_WORDS_MAX = 256 };
#define CLI_ID_MAX 1000000000000000 /* the highest number that a thing in the book may be asked for by */
typedef struct cli_marks_file cli_marks_file;
typedef struct cli_outcome {
  char kept[160];        /* what the command has changed for good so far; "" while there is nothing */
  cli_marks_file *marks; /* the files of marks that it has read */
} cli_outcome;

struct cli_args {
  const cli_command *command;
  cli_outcome *outcome;
  size_t n_options, n_words;
  struct {
    const char *name, *value;
  } option[CLI_OPTIONS_MAX];
  const char *word[CLI_WORDS_MAX]; /* what is not an option */
  bool help, json;
  const char *answer_is; /* the option whose file is "-": it goes to stdout, and nothing else does; or NULL */
  dw_settings settings;  /* of the book, the options over them; the defaults where the command needs none */
  dw_style style;        /* units: those of settings */
  dw_arena *arena;       /* of what had to be put together; lives as long as the arguments */
  char **given;          /* every word behind the command's name, as typed; ended by NULL */
};

/* DW_USAGE with the word at fault. argv from behind the command's name; out->arena is the caller's, on error,
 * too. */
dw_status cli_parse(const cli_command *command, int argc, char **argv, cli_args *out, dw_error *err);
/* Parses, then gives the help that was asked for, or runs the command. argv as for cli_parse.
 * Errors as the command's; DW_IO, with a sentence that says so, for all that fails behind cli_kept */
dw_status cli_run(const cli_command *command, int argc, char **argv, dw_error *err);
/* Where the command's name stands in main's argv: options that every command has may stand before it.
 * Errors DW_USAGE another option, or no command */
dw_status cli_find_command(int argc, char **argv, int *at, dw_error *err);
/* First of all in main: standard input, output and error are open, so that no file takes the place of one
 * that is closed; what is then written to it fails, and is said. */
void cli_hold_streams(void);
/* One sentence on stderr, behind the program's name. */
void cli_remark(const char *sentence);
void cli_complain(const dw_error *err); /* its sentence */
/* The whole of main's end: says what failed in one sentence on stderr; returns the exit code. */
int cli_exit(dw_status status, const dw_error *err);
extern const cli_option cli_common_options[]; /* that every command has */
void cli_help(const cli_command *command, FILE *out);
void cli_help_all(const cli_command *const *commands, FILE *out); /* commands ended by NULL */

bool cli_has(const cli_args *args, const char *name);
const char *cli_value(const cli_args *args, const char *name); /* the last one given, or NULL */
/* The next value of a repeatable option; *at starts at 0. NULL at the end. */
const char *cli_next(const cli_args *args, const char *name, size_t *at);
size_t cli_count(const cli_args *args, const char *name); /* how often it was given */
/* What a repeatable option says of thing i of n: given once it holds for all, given n times for one each
 * (of a single thing the last one counts); *out NULL when it was not given.  things  what they are, for the
 * message: "photos" */
dw_status cli_each(const cli_args *args, const char *name, size_t i, size_t n, const char *things,
                   const char **out, dw_error *err);
/* Number option between min and max, or fallback when not given. */
dw_status cli_number(const cli_args *args, const char *name, double min, double max, double fallback,
                     double *out, dw_error *err);
/* The same where only a whole number makes sense. */
dw_status cli_whole(const cli_args *args, const char *name, size_t min, size_t max, size_t fallback,
                    size_t *out, dw_error *err);
/* Volume option with its unit, else in fl oz, or with --metric in ml; the numbers here are fl oz. */
dw_status cli_volume(const cli_args *args, const char *name, double min_floz, double max_floz,
                     double fallback_floz, double *out_floz, dw_error *err);
dw_status cli_lab(const char *text, const char *what, dw_lab *out, dw_error *err);
/* A word that names a file to be read: "-" is the standard input. */
const char *cli_input(const char *word);
/* Fills args->settings and style.units.  Errors of the machine only (memory, disk, the book in use) */
dw_status cli_settings_take(cli_args *args, dw_error *err);
/* At least min and at most max words, else DW_USAGE that says what is expected. */
dw_status cli_words(const cli_args *args, size_t min, size_t max, const char *expected, dw_error *err);

/* ---- output -------------------------------------------------------------------------------------------- */
/* One JSON document on stdout; takes the reference. */
dw_status cli_print_json(json_t *root, dw_error *err);
dw_status cli_print_text(dw_text *text, dw_error *err); /* to stdout; frees it */
/* To a file where the text could be made (made is DW_OK), and frees it.  Errors made; as dw_file_write */
dw_status cli_text_file(const char *path, dw_status made, dw_text *text, dw_error *err);
/* DW_IO unless all that was printed has arrived. */
dw_status cli_printed(dw_error *err);
/* The book holds it from here on.  what  a sentence without its full stop: "The pour was kept" */
void cli_kept(const cli_args *args, const char *what);
/* A remark on what was kept can't be made: one sentence on stderr, no failure.
 * remark  "what it gives"; why  of the failure */
void cli_no_remark(const cli_args *args, const char *remark, const dw_error *why);

/* ---- pieces that several commands share ---------------------------------------------------------------- */
/* --marks, --card, --card-set, --gray, --gray-y */
#define CLI_GIVEN_LIGHT_OPTIONS                                                                              \
  {"--card", "X1,Y1,...,X4,Y4",                                                                              \
   "centers of the card's corner patches: first, end of first row, last, start of last row; then it is not " \
   "looked for"},                                                                                            \
      {"--card-set", "SET",                                                                                  \
       "which card, marked or to be found: grid24 (the usual 24 patches, of whichever edition), "            \
       "grid24-early, grid24-late, or a CGATS file; default the marks' own, else grid24"},                   \
      {"--gray", "SHAPE", "one gray patch instead of a card"}, {                                             \
    "--gray-y", "Y", "its luminance factor, 0 to 1; default 0.18"                                            \
  }
#define CLI_LIGHT_OPTIONS                                                                                    \
  {"--marks", "FILE", "marks saved before: card, gray patch and layers; one for all photos, or one each"},   \
      CLI_GIVEN_LIGHT_OPTIONS
/* Those, and --layer. */
#define CLI_MARK_OPTIONS                                                                                     \
  CLI_LIGHT_OPTIONS, {                                                                                       \
    "--layer", "NAME=SHAPE", "a layer; SHAPE is rect:X,Y,WxH, ellipse:CX,CY,RXxRY or poly:X,Y;X,Y;..."       \
  }
/* --card-set, or the usual card. */
const char *cli_card_set(const cli_args *args);
/* Of photo i of n: its own --marks file, or the one for all, and the options over it; perhaps no layer. */
dw_status cli_marks(const cli_args *args, size_t i, size_t n, dw_marks *out, dw_error *err);
/* Marks the card that the photo shows where no option and no marks file says what to take the light from, or
 * the one that --card-set names where none is marked; that there is none, or none to be believed, is a
 * sentence on stderr. */
void cli_card_search(const cli_args *args, const char *path, dw_marks *marks);
/* The same; true where there is something to say: why. */
bool cli_card_missing(const cli_args *args, const char *path, dw_marks *marks, dw_error *why);
/* The same without --layer. */
dw_status cli_light(const cli_args *args, size_t i, size_t n, dw_marks *out, dw_error *err);
/* A file of marks, read when it is first asked for.
 * *out  borrowed from args; several threads may ask.  Errors as dw_json_load */
dw_status cli_marks_json(const cli_args *args, const char *path, const json_t **out, dw_error *err);
/* Its marks, with --card-set's card where one is given.  Errors also as dw_marks_from_json */
dw_status cli_marks_load(const cli_args *args, const char *path, dw_marks *out, dw_error *err);
void cli_marks_files_free(cli_marks_file *files);
/* The light alone: that of a marks file (NULL: none) with --card or --gray over it; layers as the file has
 * them. */
dw_status cli_marks_from(const cli_args *args, const char *file, dw_marks *out, dw_error *err);

/* --shelf FILE, else the book's shelf, else the starter shelf. */
#define CLI_SHELF_OPTION                                                                                     \
  { "--shelf", "FILE", "bottles from a shelf file; default the book's, else the invented starter shelf" }
dw_status cli_shelf(const cli_args *args, dw_shelf **out, dw_error *err);
/* The shelf of --book, or of the default book where there is one, else the starter shelf. */
dw_status cli_book_shelf(const cli_args *args, dw_shelf **out, dw_error *err);
/* A recipe of the shelf's bottles; one that the book knows but the shelf can't predict is told so.
 * Errors as dw_recipe_parse */
dw_status cli_recipe(const cli_args *args, const char *text, const dw_shelf *shelf, dw_recipe *out,
                     dw_error *err);
/* Index on the shelf.  Errors DW_USAGE, as for a recipe */
dw_status cli_bottle_index(const cli_args *args, const char *id, const dw_shelf *shelf, size_t *out,
                           dw_error *err);
#define CLI_SLAB_OPTIONS                                                                                     \
  {"--thickness", "MM", "of the plastic where it is looked at; default 10"}, {                               \
    "--over", "BACKING", "black, white, gray, or a reflectance from 0 to 1; default gray"                    \
  }
dw_status cli_slab(const cli_args *args, dw_slab *out, dw_error *err);
#define CLI_SLAB_GIVEN_OPTIONS                                                                               \
  {"--thickness", "MM", "of the plastic where it is looked at; default: as this cup before, else 10"}, {     \
    "--over", "BACKING",                                                                                     \
        "black, white, gray, or a reflectance from 0 to 1; default: as this cup before, else gray"           \
  }
/* The same for what is measured of a cup: a part that is not given is NAN, which dw_keep_pour takes as in
 * the cup's last pour. */
dw_status cli_slab_given(const cli_args *args, dw_slab *out, dw_error *err);

/* --shares: n percentages that add up to 100, as shares of 1; alike when not given. */
dw_status cli_shares(const cli_args *args, size_t n, double *share, dw_error *err);
/* --outline: of a bait that is drawn; a swimbait when not given. */
dw_status cli_outline(const cli_args *args, dw_outline *out, dw_error *err);

enum { CLI_FOLDER_ROOM = 4200 };
/* The path of a program or folder, named relative to the folder that this program lies in; false when there
 * is none that can be used. out has CLI_FOLDER_ROOM. */
bool cli_beside_program(const char *name, char *out);
/* Where to look for plugins, in the order that a plugin's id is looked for: every folder of --plugins, the
 * maker's own in the user's data folder where there is one, the program's own. The names of the last two
 * stand in folders. dirs has room for CLI_PLUGIN_FOLDERS_MAX; returns how many there are. */
enum { CLI_PLUGIN_FOLDERS_MAX = CLI_OPTIONS_MAX + 3 };
typedef struct cli_folders {
  char makers[CLI_FOLDER_ROOM], built_in[CLI_FOLDER_ROOM];
} cli_folders;
size_t cli_plugin_folders(const cli_args *args, const char **dirs, cli_folders *folders);
/* Of every command that advises. */
#define CLI_SET_OPTION                                                                                       \
  { "--set", "ID.NAME=VALUE", "a number of a plugin, as dropwise plugins lists them; may be repeated" }
/* The plugins in these folders, with what --set says of them. */
dw_status cli_find_plugins(const cli_args *args, dw_plugins *out, dw_error *err);

#endif
