/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/job.h>

/* The text of a job or machine file as checked keys and values, with messages that name file and line. */

/* A key file being read, and what messages need to point into it. */
typedef struct
{
  GKeyFile     *file;
  const char   *name;
  const char   *text;           /* NULL: lines are not worth naming (an edit) */
  GStringChunk *strings;
  GPtrArray    *known;          /* "Group\nKey" of all that was asked for */
} RhyKeySource;

/* ---- text to key file ---- */

/* A job file is a page of text; a sampled profile lives in a file of its own. */
#define RHY_KEY_BYTES_MAX (4u << 20)

/* A text file as a string, NUL added; bounded, so that a device cannot fill the memory. */
gboolean rhy_key_load (const char *path, char **text, gsize *length, GError **error);

/* @what: "a job file", "a machine file". @is_once: the groups that may not be parted in two. */
GKeyFile *rhy_key_parse (const char *text, gsize length, const char *name, const char *what,
                         gboolean (*is_once) (const char *group), GError **error);

/* ---- messages ---- */

/* What was found, fit for one line of a terminal. */
char *rhy_key_quoted (const char *found, gsize length);
/* Where a key stands, or its group if there is no such key; 0 if neither is there. */
guint rhy_key_line_of (const char *text, const char *group, const char *key);
/* "NAME:LINE", or the name alone where @line is 0. */
char *rhy_key_place (const char *name, guint line);
/* @found: (nullable): NULL says that the key is missing. Always FALSE. */
gboolean rhy_key_complain (const RhyKeySource *source, const char *group, const char *key, const char *found, const char *allowed,
                           GError **error);

/* ---- values ---- */

/* The raw text of a key, blanks off; NULL if the file has no such key. */
char *rhy_key_raw (const RhyKeySource *source, const char *group, const char *key);
/* A plain decimal number with a point: no hexadecimal, no infinity, nothing after it. */
gboolean rhy_key_is_number (const char *text, double *value);
double rhy_key_radians (double degrees);

typedef enum
{
  RHY_NUMBER_PLAIN = 0,
  RHY_NUMBER_DEGREES = 1 << 0,     /* stored in radians */
  RHY_NUMBER_MAY_BE_AUTO = 1 << 1, /* the word stands for 0 */
  RHY_NUMBER_ABOVE = 1 << 2,       /* the least value itself is not allowed */
} RhyNumberFlags;

typedef struct
{
  const char *group, *key;
  gsize       offset;
  double      least, greatest;
  RhyNumberFlags flags;
  const char *unit;
} RhyNumberKey;

typedef struct
{
  const char        *group, *key;
  gsize              offset;    /* of an enumeration or a gboolean */
  const char *const *words;     /* NULL-terminated, in the enumeration's order */
} RhyWordKey;

/* Values into the struct at @base; a key that is missing leaves it as it is. */
gboolean rhy_key_number (const RhyKeySource *source, const RhyNumberKey *k, void *base, GError **error);
gboolean rhy_key_word (const RhyKeySource *source, const RhyWordKey *k, void *base, GError **error);
/* @value: set to a string of the source's, or NULL where the key is missing or empty. */
gboolean rhy_key_string (const RhyKeySource *source, const char *group, const char *key, const char **value, GError **error);
