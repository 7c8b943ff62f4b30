/* The allocations of one run, each failed in a copy of the program that goes on from there: what lies before an
 * allocation is done once for all. */
#ifndef DROPWISE_TESTS_SWEEP_TREE_H
#define DROPWISE_TESTS_SWEEP_TREE_H

#include "run.h"
#include "shop.h"

typedef struct sweep_tree {
  const sweep_shop *place;
  bool all; /* or the usual ones; run.h */
  /* Looks at what a copy left, before it is put back. */
  void (*judge)(void *data, const sweep_run *run, long at);
  void *data;
  bool *done; /* made here; [n_done], by allocation: a copy was made there */
  long n_done;
} sweep_tree;

/* words  as for sweep_run_one
 * trunk  what the program itself did, in which nothing failed
 * Where no copy can be made (branch.h) the allocation is not done. */
void sweep_tree_run(sweep_tree *tree, char *const *words, const sweep_fault *fault, sweep_run *trunk);
bool sweep_tree_done(const sweep_tree *tree, long at);
void sweep_tree_free(sweep_tree *tree);

#endif
