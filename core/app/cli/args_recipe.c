/* Recipes on the command line: one word, several words, or the option given several times; all of them one
 * recipe. */
#include "app/cli/args_recipe.h"

#include <string.h>

bool cli_takes_recipe(const cli_option *option) {
  return option->value && (strstr(option->value, "DROPS") || strcmp(option->value, "RECIPE") == 0);
}

bool cli_recipe_goes_on(const cli_option *option) {
  return cli_takes_recipe(option) && option->value[0] != '[';
}

/* "belly:" of "belly:white=3", 0 without. */
static size_t layer_length(const char *text) {
  const char *colon = strchr(text, ':');
  return colon ? (size_t)(colon - text) + 1 : 0;
}

bool cli_recipe_part(const char *word) {
  size_t n = strspn(word, "abcdefghijklmnopqrstuvwxyz0123456789-_");
  return n > 0 && word[0] != '-' && word[n] == '=';
}

/* Whether a recipe so far, or the word that follows it, brings the separator along. */
static bool separated(const char *recipe, const char *more) {
  size_t n = strlen(recipe);
  while (n > 0 && recipe[n - 1] == ' ') n--;
  return n == 0 || strchr(",;:", recipe[n - 1]) || *more == ',' || *more == ';';
}

size_t cli_recipe_slot(const cli_args *args, const char *name, const char *recipe) {
  size_t layer = layer_length(recipe), i = 0;
  for (; i < args->n_options; i++) {
    const char *before = args->option[i].value;
    if (strcmp(args->option[i].name, name) == 0 && layer_length(before) == layer &&
        strncmp(before, recipe, layer) == 0)
      break;
  }
  return i;
}

dw_status cli_recipe_join(cli_args *args, size_t slot, const char *more, dw_error *err) {
  const char *recipe = args->option[slot].value;
  more += layer_length(more);
  size_t room = strlen(recipe) + strlen(more) + 2;
  char *whole = dw_arena_take(args->arena, room, 1);
  if (!whole) return dw_fail_memory(err, "a recipe");
  snprintf(whole, room, "%s%s%s", recipe, separated(recipe, more) ? "" : ",", more);
  args->option[slot].value = whole;
  return DW_OK;
}

void cli_layer_name(const char **text, const char *usual, size_t place, char name[DW_ID_ROOM]) {
  const char *colon = strchr(*text, ':');
  size_t n = colon ? (size_t)(colon - *text) : 0;
  snprintf(name, DW_ID_ROOM, "%s %zu", usual, place + 1);
  if (!colon) return;
  if (n > 0)
    snprintf(name, DW_ID_ROOM, "%.*s", (int)dw_utf8_cut(*text, n < DW_ID_ROOM ? n : DW_ID_ROOM - 1), *text);
  *text = colon + 1;
}
