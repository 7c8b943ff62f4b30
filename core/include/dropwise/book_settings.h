/* Settings kept in the book: what a shop usually works with.
 *
 * Each has a name and a value as one types it; what is not set is as dw_settings_default has it.  A name that
 * this program does not know (a newer one's) is left alone.  A name with a dot, ID.NAME, is a number of a
 * plugin: which there are, and in what range, the plugins themselves say (dw_parameter_parse). */
#ifndef DROPWISE_BOOK_SETTINGS_H
#define DROPWISE_BOOK_SETTINGS_H

#include "dropwise/book.h"
#include "dropwise/names.h"

typedef struct dw_settings {
  dw_units units;                  /* "units": us or metric */
  double volume_floz;              /* "volume": clear base in a fresh cup */
  double max_drops;                /* "max-drops": in the whole cup, or DW_DROPS_BY_VOLUME ("by-volume") */
  size_t max_bottles;              /* "max-bottles" */
  double step_drops;               /* "step": 1 (drops), 0.5 (half) or 0 (syringe), as in dw_rules */
  double heat_limit_f;             /* "heat-limit": spread of the cups' temperatures; 0: none is set */
  char unwanted[DW_UNWANTED_ROOM]; /* "unwanted": bottles that no cup is to get anything of; "" */
  double card_mm;                  /* "card-width": as dw_find_wish's; 0: none is set */
  dw_numbers numbers;              /* of plugins, by "ID.NAME": those that are set */
} dw_settings;

enum { DW_SETTINGS_COUNT = 8, DW_SETTING_ROOM = 512 };
const char *dw_setting_name(size_t i);  /* "units"; static, as are the next */
const char *dw_setting_takes(size_t i); /* what values it takes, with its default */

/* It names a number of a plugin. */
bool dw_setting_is_number(const char *name);

/* US units, 4 fl oz, and the rules as dw_rules_default has them. */
dw_settings dw_settings_default(void);
/* Sets one of them; a volume without a unit is in those of out->units.  out  unchanged on error
 * Errors DW_NOT_FOUND no setting of that name, DW_USAGE what values it takes */
dw_status dw_setting_parse(const char *name, const char *value, dw_settings *out, dw_error *err);
/* The value as dw_setting_parse takes it, a volume in those units; cut to room. */
void dw_setting_format(const dw_settings *settings, size_t i, char *out, size_t room);
/* Most drops, most bottles, step, and the unwanted bottles of that shelf; the other rules stay. */
void dw_settings_rules(const dw_settings *settings, const dw_shelf *shelf, dw_rules *rules);

/* A list of unwanted bottles as it is kept, "green,blue", each once; "none" is "".  False where text is no
 * such list; out is then unchanged. */
bool dw_unwanted_parse(const char *text, char out[DW_UNWANTED_ROOM]);
/* Those that the shelf has are used in no addition. */
void dw_unwanted_rules(const char *list, const dw_shelf *shelf, dw_rules *rules);

/* is_set  which of them the book has (DW_SETTINGS_COUNT), or NULL */
dw_status dw_book_settings_get(dw_book *book, dw_settings *out, bool *is_set, dw_error *err);
/* How much clear base is in a fresh cup, and what the cup holds. */
dw_status dw_book_fresh_cup(dw_book *book, double *volume_floz, double *capacity_floz, dw_error *err);
/* In a transaction, an entry of the journal.  value  NULL: back to the default
 * Errors as dw_setting_parse; DW_NOT_FOUND an unwanted bottle that nobody knows */
dw_status dw_book_setting_set(dw_book *book, const char *name, const char *value, dw_error *err);

#endif
