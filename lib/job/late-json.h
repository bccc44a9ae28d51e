/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "../shape/late-gio.h"

#include <json-glib/json-glib.h>

/* json-glib, loaded at its first use: the calls below read as if it were linked. What is
 * missing here gets linked after all, and a test says so: add it to the list and to the names.
 * Without RHY_LATE_JSON (not an ELF system) it is linked. */
#ifdef RHY_LATE_JSON

#define RHY_LATE_JSON_CALLS(F) \
  F (json_builder_add_boolean_value) \
  F (json_builder_add_double_value) \
  F (json_builder_add_int_value) \
  F (json_builder_add_null_value) \
  F (json_builder_add_string_value) \
  F (json_builder_begin_array) \
  F (json_builder_begin_object) \
  F (json_builder_end_array) \
  F (json_builder_end_object) \
  F (json_builder_get_root) \
  F (json_builder_new_immutable) \
  F (json_builder_set_member_name) \
  F (json_generator_new) \
  F (json_generator_set_pretty) \
  F (json_generator_set_root) \
  F (json_generator_to_data) \
  F (json_node_unref)

typedef struct
{
#define CALL(name) __typeof__ (name) *name;
  RHY_LATE_JSON_CALLS (CALL)
#undef CALL
} RhyLateJson;

const RhyLateJson *rhy_late_json_get (void);

#ifndef RHY_LATE_JSON_BY_NAME
#define json_builder_add_boolean_value (rhy_late_json_get ()->json_builder_add_boolean_value)
#define json_builder_add_double_value (rhy_late_json_get ()->json_builder_add_double_value)
#define json_builder_add_int_value (rhy_late_json_get ()->json_builder_add_int_value)
#define json_builder_add_null_value (rhy_late_json_get ()->json_builder_add_null_value)
#define json_builder_add_string_value (rhy_late_json_get ()->json_builder_add_string_value)
#define json_builder_begin_array (rhy_late_json_get ()->json_builder_begin_array)
#define json_builder_begin_object (rhy_late_json_get ()->json_builder_begin_object)
#define json_builder_end_array (rhy_late_json_get ()->json_builder_end_array)
#define json_builder_end_object (rhy_late_json_get ()->json_builder_end_object)
#define json_builder_get_root (rhy_late_json_get ()->json_builder_get_root)
#define json_builder_new_immutable (rhy_late_json_get ()->json_builder_new_immutable)
#define json_builder_set_member_name (rhy_late_json_get ()->json_builder_set_member_name)
#define json_generator_new (rhy_late_json_get ()->json_generator_new)
#define json_generator_set_pretty (rhy_late_json_get ()->json_generator_set_pretty)
#define json_generator_set_root (rhy_late_json_get ()->json_generator_set_root)
#define json_generator_to_data (rhy_late_json_get ()->json_generator_to_data)
#define json_node_unref (rhy_late_json_get ()->json_node_unref)
#endif

#endif
