/* Inside book/: what a note of a cup's heat may hold, and which of them counts. */
#ifndef DROPWISE_BOOK_HEAT_INNER_H
#define DROPWISE_BOOK_HEAT_INNER_H

#define DW__HEAT_LEAST_F (-100)
#define DW__HEAT_MOST_F 1000

/* The note that a cup's temperature is, with the cup as c: the last minute at which one was taken. */
#define DW__HEAT_LAST(what)                                                                                  \
  "(SELECT " what " FROM heat WHERE cup = c.id AND temperature_f IS NOT NULL"                                \
  " ORDER BY minute DESC, id DESC LIMIT 1)"

#endif
