/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gio/gio.h>

/* GIO, and GObject, which it brings, loaded at its first use: the calls below read as if it were
 * linked. What is missing here gets linked after all, and a test says so: add it to the list and to
 * the names. The inline functions of other headers that unref objects do so through here where those
 * headers come after this one; GIO's own g_autoptr types would link it. Without RHY_LATE_GIO (not
 * an ELF system), or in a program that says RHY_GIO_LINKED, it is linked. */
#if defined (RHY_LATE_GIO) && !defined (RHY_GIO_LINKED)

#define RHY_LATE_GIO_CALLS(F) \
  F (g_cancellable_cancel) \
  F (g_cancellable_is_cancelled) \
  F (g_cancellable_make_pollfd) \
  F (g_cancellable_new) \
  F (g_cancellable_release_fd) \
  F (g_cancellable_set_error_if_cancelled) \
  F (g_converter_convert) \
  F (g_file_load_contents) \
  F (g_file_new_for_path) \
  F (g_io_error_from_errno) \
  F (g_io_error_quark) \
  F (g_object_unref) \
  F (g_resources_enumerate_children) \
  F (g_resources_lookup_data) \
  F (g_static_resource_fini) \
  F (g_static_resource_get_resource) \
  F (g_static_resource_init) \
  F (g_zlib_compressor_new)

typedef struct
{
#define CALL(name) __typeof__ (name) *name;
  RHY_LATE_GIO_CALLS (CALL)
#undef CALL
} RhyLateGio;

const RhyLateGio *rhy_late_gio_get (void);

#ifndef RHY_LATE_GIO_BY_NAME
#define g_cancellable_cancel (rhy_late_gio_get ()->g_cancellable_cancel)
#define g_cancellable_is_cancelled(c) ((c) != NULL && rhy_late_gio_get ()->g_cancellable_is_cancelled (c))
#define g_cancellable_make_pollfd (rhy_late_gio_get ()->g_cancellable_make_pollfd)
#define g_cancellable_new (rhy_late_gio_get ()->g_cancellable_new)
#define g_cancellable_release_fd (rhy_late_gio_get ()->g_cancellable_release_fd)
#define g_cancellable_set_error_if_cancelled(c, error) ((c) != NULL && rhy_late_gio_get ()->g_cancellable_set_error_if_cancelled (c, error))
#define g_converter_convert (rhy_late_gio_get ()->g_converter_convert)
#define g_file_load_contents (rhy_late_gio_get ()->g_file_load_contents)
#define g_file_new_for_path (rhy_late_gio_get ()->g_file_new_for_path)
#define g_io_error_from_errno (rhy_late_gio_get ()->g_io_error_from_errno)
#define g_io_error_quark (rhy_late_gio_get ()->g_io_error_quark)
#define g_object_unref (rhy_late_gio_get ()->g_object_unref)
#define g_resources_enumerate_children (rhy_late_gio_get ()->g_resources_enumerate_children)
#define g_resources_lookup_data (rhy_late_gio_get ()->g_resources_lookup_data)
#define g_static_resource_fini (rhy_late_gio_get ()->g_static_resource_fini)
#define g_static_resource_get_resource (rhy_late_gio_get ()->g_static_resource_get_resource)
#define g_static_resource_init (rhy_late_gio_get ()->g_static_resource_init)
#define g_zlib_compressor_new (rhy_late_gio_get ()->g_zlib_compressor_new)
#endif

#endif
