/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

/* Members of the documents for scripts: what is not known is null, never NaN or "". */

#include <math.h>

#include "late-json.h"

static inline void
rhy_json_put_number (JsonBuilder *b,
                     const char  *name,
                     double       value)
{
  json_builder_set_member_name (b, name);
  if (isfinite (value))
    json_builder_add_double_value (b, value);
  else
    json_builder_add_null_value (b);
}

static inline void
rhy_json_put_string (JsonBuilder *b,
                     const char  *name,
                     const char  *value)
{
  json_builder_set_member_name (b, name);
  if (value != NULL)
    json_builder_add_string_value (b, value);
  else
    json_builder_add_null_value (b);
}

/* Returns: (transfer full): what has been built, ending with a newline. */
static inline char *
rhy_json_end (JsonBuilder *b)
{
  JsonNode *root = json_builder_get_root (b);
  g_autoptr (JsonGenerator) generator = json_generator_new ();
  json_generator_set_root (generator, root);
  json_generator_set_pretty (generator, TRUE);
  g_autofree char *text = json_generator_to_data (generator, NULL);
  json_node_unref (root);
  return g_strconcat (text, "\n", NULL);
}
