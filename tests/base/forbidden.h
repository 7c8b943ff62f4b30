/* What a sealed process may not do. */
#ifndef DROPWISE_TESTS_FORBIDDEN_H
#define DROPWISE_TESTS_FORBIDDEN_H

#include <stddef.h>

typedef struct forbidden {
  const char *name;
  long (*try_it)(void); /* a system call's result: -1 and errno when refused */
} forbidden;
extern const forbidden forbidden_things[];
extern const size_t forbidden_count;

/* Before the seal: sockets and files for the tries that need one. */
void forbidden_prepare(void);

#endif
