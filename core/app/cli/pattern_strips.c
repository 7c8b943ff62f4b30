/* pattern see-through NAME --photo PHOTO */
#include "app/cli/find_strips.h"

#include <stdlib.h>

static dw_status set_all(const cli_args *args, const dw_strips *strips, const cli_strips_wish *wish,
                         dw_error *err) {
  dw_book *book = NULL;
  dw_status status = cli_book_write(args, &book, err);
  for (size_t i = 0; i < wish->pattern.n && status == DW_OK; i++)
    status = dw_pattern_set_see_through(book, wish->pattern.layer[i].id, strips->mean.layer[i].ratio, err);
  return cli_book_keep(args, "What is wanted was kept", book, status, err);
}

dw_status cli_pattern_strips(const cli_args *args, dw_error *err) {
  cli_strips_wish wish = {0};
  dw_text text = {0};
  dw_strips *strips = malloc(sizeof *strips);
  dw_status status = strips ? DW_OK : dw_fail_memory(err, "the strips");
  if (status == DW_OK) status = cli_strips_wish_from(args, args->word[1], &wish, err);
  if (status == DW_OK) status = dw_strips_read(cli_value(args, "--photo"), &wish.find, strips, err);
  if (status == DW_OK && strips->mean.n != wish.pattern.n)
    status = dw_fail(err, DW_BAD_INPUT, "The baits of %s have %zu layers, \"%s\" has %zu.",
                     strips->reading.path, strips->mean.n, wish.pattern.name, wish.pattern.n);
  if (status == DW_OK) status = set_all(args, strips, &wish, err);
  for (size_t i = 0; status == DW_OK && i < wish.pattern.n; i++)
    wish.pattern.layer[i].see_through = strips->mean.layer[i].ratio;
  if (status == DW_OK) {
    cli_strips_text(strips, &wish, &text);
    status = cli_say(args, cli_strips_json(strips, &wish), &text, err);
  }
  cli_strips_wish_free(&wish);
  free(strips);
  return status;
}
