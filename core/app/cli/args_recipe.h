/* How the parser of arguments takes recipes. */
#ifndef DROPWISE_APP_CLI_ARGS_RECIPE_H
#define DROPWISE_APP_CLI_ARGS_RECIPE_H

#include "app/cli/cli.h"

/* Whether an option's value is a recipe: its help calls it DROPS, RECIPE or [NAME:]DROPS. */
bool cli_takes_recipe(const cli_option *option);
/* Whether the option, given again, goes on with the same recipe; [NAME:]DROPS begins another cup. */
bool cli_recipe_goes_on(const cli_option *option);
/* Whether a word reads "bottle=...". */
bool cli_recipe_part(const char *word);
/* The option given before for the same cup, that of the same layer ("belly:..."), or args->n_options. */
size_t cli_recipe_slot(const cli_args *args, const char *name, const char *recipe);
/* Puts more behind the recipe of that option. */
dw_status cli_recipe_join(cli_args *args, size_t slot, const char *more, dw_error *err);
/* "back:..." names a layer, and *text moves behind it; one without a name is called by its place, as in "layer 2".
 */
void cli_layer_name(const char **text, const char *usual, size_t place, char name[DW_ID_ROOM]);

#endif
