/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhy-test.h"

#include "gui.h"
#include "rhyton-measure-entry.h"
#include "rhyton-window.h"

/* A window with a job, as its tests hold it. */

typedef struct
{
  char           *folder;       /* of its own, emptied afterwards */
  char           *job;          /* the demo's path */
  RhytonWindow   *window;
  RhytonDocument *document;
  RhytonStage    *stage;
} Fixture;

int fixture_set_up (void **state);
int fixture_tear_down (void **state);
/** fixture_run_group: what main() returns; skips where there is no display. */
int fixture_run_group (const struct CMUnitTest *tests, gsize n);
#define fixture_run(tests) fixture_run_group ((tests), G_N_ELEMENTS (tests))

/** settle: until nothing is being worked out. */
void settle (Fixture *f);
/** demo: Returns: (transfer full): the path of one of the demo's files. */
char *demo (const char *name);
void open_demo (Fixture *f);
void open_job (Fixture *f, const char *path);
/** text_of: Returns: (transfer full): the job file's text as it is now. */
char *text_of (Fixture *f);
/** data_of: Returns: what the job says now. */
const RhyJobData *data_of (Fixture *f);
/** expect_back: all undone, the job file is @start again. */
void expect_back (Fixture *f, const char *start);
/** part_of: Returns: the window's part of that type. */
gpointer part_of (Fixture *f, GType type);
/** line_with: Returns: (nullable): the text on the screen that begins so. */
const char *line_with (Fixture *f, const char *beginning);
/** go_to: a step: "vessel", "artwork", "placement", "hold", "check", "make". */
void go_to (Fixture *f, const char *step);
/** open_fold: what is under a heading, by the heading's name. */
void open_fold (Fixture *f, const char *label);
/** field, list: by their accessible names, their step in sight. */
RhytonMeasureEntry *field (Fixture *f, const char *label);
GtkDropDown *list (Fixture *f, const char *label);
/** act: an action of the window. */
void act (Fixture *f, const char *name);
/** click: a button by its accessible name. */
void click (Fixture *f, const char *label);
/** drag: with the primary button, from (@x, @y) by (@dx, @dy). */
void drag (GtkWidget *view, double x, double y, double dx, double dy);
