/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <ft2build.h>
#include FT_FREETYPE_H
#include FT_STROKER_H

/* FreeType, loaded at its first use: the calls below read as if it were linked. What is
 * missing here gets linked after all, and a test says so: add it to the list and to the names.
 * Without RHY_LATE_FREETYPE (not an ELF system) it is linked. */
#ifdef RHY_LATE_FREETYPE

#define RHY_LATE_FREETYPE_CALLS(F) \
  F (FT_Done_FreeType) \
  F (FT_Init_FreeType) \
  F (FT_Stroker_BeginSubPath) \
  F (FT_Stroker_CubicTo) \
  F (FT_Stroker_Done) \
  F (FT_Stroker_EndSubPath) \
  F (FT_Stroker_ExportBorder) \
  F (FT_Stroker_GetBorderCounts) \
  F (FT_Stroker_LineTo) \
  F (FT_Stroker_New) \
  F (FT_Stroker_Rewind) \
  F (FT_Stroker_Set)

typedef struct
{
#define CALL(name) __typeof__ (name) *name;
  RHY_LATE_FREETYPE_CALLS (CALL)
#undef CALL
} RhyLateFreetype;

const RhyLateFreetype *rhy_late_freetype_get (void);

#ifndef RHY_LATE_FREETYPE_BY_NAME
#define FT_Done_FreeType (rhy_late_freetype_get ()->FT_Done_FreeType)
#define FT_Init_FreeType (rhy_late_freetype_get ()->FT_Init_FreeType)
#define FT_Stroker_BeginSubPath (rhy_late_freetype_get ()->FT_Stroker_BeginSubPath)
#define FT_Stroker_CubicTo (rhy_late_freetype_get ()->FT_Stroker_CubicTo)
#define FT_Stroker_Done (rhy_late_freetype_get ()->FT_Stroker_Done)
#define FT_Stroker_EndSubPath (rhy_late_freetype_get ()->FT_Stroker_EndSubPath)
#define FT_Stroker_ExportBorder (rhy_late_freetype_get ()->FT_Stroker_ExportBorder)
#define FT_Stroker_GetBorderCounts (rhy_late_freetype_get ()->FT_Stroker_GetBorderCounts)
#define FT_Stroker_LineTo (rhy_late_freetype_get ()->FT_Stroker_LineTo)
#define FT_Stroker_New (rhy_late_freetype_get ()->FT_Stroker_New)
#define FT_Stroker_Rewind (rhy_late_freetype_get ()->FT_Stroker_Rewind)
#define FT_Stroker_Set (rhy_late_freetype_get ()->FT_Stroker_Set)
#endif

#endif
