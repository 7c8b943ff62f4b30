/* The traces that plugins leave are a run's own, so that two runs at once do not meet: the test names them to the plugins by
 * the environment. */
#ifndef DROPWISE_TESTS_TRACES_H
#define DROPWISE_TESTS_TRACES_H

#define TRACES_FILE "DROPWISE_FAULTY_FILE" /* the path of the file that one of them grows */
#define TRACES_NAME "DROPWISE_FAULTY_NAME" /* what processes left over are called: 15 characters at most */

#endif
