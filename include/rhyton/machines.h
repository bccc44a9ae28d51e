/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/job.h>

G_BEGIN_DECLS

/**
 * RhyMachine:
 * @id: the file's name without its ending
 * @path: the file
 * @name: what its Name= says, or the id
 * @job: (nullable): a job with nothing but this machine, for its figures; %NULL if it cannot be read
 * @problem: (nullable): why not, one line
 */
typedef struct
{
  char   *id, *path, *name;
  RhyJob *job;
  char   *problem;
} RhyMachine;

/**
 * rhy_machines_list:
 * @folder: (nullable): look only there; %NULL: in the folder that the environment's RHYTON_MACHINES
 *   names, in rhyton/machines under the user's and the system's data folders, and where Rhyton itself
 *   is installed
 *
 * Returns: (transfer full) (element-type RhyMachine): machine files by their ids, sorted; of two with
 *   the same id the first folder's counts. %G_FILE_ERROR if @folder is given and cannot be read.
 */
RHY_API
GPtrArray *rhy_machines_list (const char *folder, GError **error);

/** rhy_machines_to_text: Returns: (transfer full): a table for a terminal. */
RHY_API
char *rhy_machines_to_text (const GPtrArray *machines);
/** rhy_machines_to_json: Returns: (transfer full): the same as an array, sorted keys, ending with a newline. */
RHY_API
char *rhy_machines_to_json (const GPtrArray *machines);

G_END_DECLS
