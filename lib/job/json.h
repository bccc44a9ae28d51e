/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

/* Members of the documents for scripts: what is not known is null, never NaN or "". */

#include <json-glib/json-glib.h>
#include <math.h>

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
