/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <geos_c.h>

/* GEOS, loaded at its first use: the calls below read as if it were linked. What is
 * missing here gets linked after all, and a test says so: add it to the list and to the names.
 * Without RHY_LATE_GEOS (not an ELF system) it is linked. */
#ifdef RHY_LATE_GEOS

#define RHY_LATE_GEOS_CALLS(F) \
  F (GEOSArea_r) \
  F (GEOSBoundary_r) \
  F (GEOSBufferWithStyle_r) \
  F (GEOSContext_setErrorMessageHandler_r) \
  F (GEOSCoordSeq_copyFromArrays_r) \
  F (GEOSCoordSeq_copyFromBuffer_r) \
  F (GEOSCoordSeq_copyToArrays_r) \
  F (GEOSCoordSeq_create_r) \
  F (GEOSCoordSeq_destroy_r) \
  F (GEOSCoordSeq_getSize_r) \
  F (GEOSCoordSeq_getXY_r) \
  F (GEOSCoordSeq_setXY_r) \
  F (GEOSCoverageUnion_r) \
  F (GEOSDensify_r) \
  F (GEOSDifferencePrec_r) \
  F (GEOSEnvelope_r) \
  F (GEOSGeomGetX_r) \
  F (GEOSGeomGetY_r) \
  F (GEOSGeomTypeId_r) \
  F (GEOSGeom_clone_r) \
  F (GEOSGeom_createCollection_r) \
  F (GEOSGeom_createEmptyCollection_r) \
  F (GEOSGeom_createLineString_r) \
  F (GEOSGeom_createLinearRing_r) \
  F (GEOSGeom_createPolygon_r) \
  F (GEOSGeom_destroy_r) \
  F (GEOSGeom_getCoordSeq_r) \
  F (GEOSGeom_getXMax_r) \
  F (GEOSGeom_getXMin_r) \
  F (GEOSGeom_getYMax_r) \
  F (GEOSGeom_getYMin_r) \
  F (GEOSGetExteriorRing_r) \
  F (GEOSGetGeometryN_r) \
  F (GEOSGetInteriorRingN_r) \
  F (GEOSGetNumGeometries_r) \
  F (GEOSGetNumInteriorRings_r) \
  F (GEOSIntersectionPrec_r) \
  F (GEOSIntersection_r) \
  F (GEOSMakeValid_r) \
  F (GEOSPointOnSurface_r) \
  F (GEOSPolygonize_r) \
  F (GEOSPrepare_r) \
  F (GEOSPreparedGeom_destroy_r) \
  F (GEOSPreparedIntersects_r) \
  F (GEOSPreparedNearestPoints_r) \
  F (GEOSUnaryUnionPrec_r) \
  F (GEOSUnaryUnion_r) \
  F (GEOSUnionPrec_r) \
  F (GEOS_finish_r) \
  F (GEOS_init_r) \
  F (GEOS_interruptRegisterCallback) \
  F (GEOS_interruptRequest) \
  F (GEOSisEmpty_r) \
  F (GEOSisSimple_r) \
  F (GEOSisValid_r)

typedef struct
{
#define CALL(name) __typeof__ (name) *name;
  RHY_LATE_GEOS_CALLS (CALL)
#undef CALL
} RhyLateGeos;

const RhyLateGeos *rhy_late_geos_get (void);

#ifndef RHY_LATE_GEOS_BY_NAME
#define GEOSArea_r (rhy_late_geos_get ()->GEOSArea_r)
#define GEOSBoundary_r (rhy_late_geos_get ()->GEOSBoundary_r)
#define GEOSBufferWithStyle_r (rhy_late_geos_get ()->GEOSBufferWithStyle_r)
#define GEOSContext_setErrorMessageHandler_r (rhy_late_geos_get ()->GEOSContext_setErrorMessageHandler_r)
#define GEOSCoordSeq_copyFromArrays_r (rhy_late_geos_get ()->GEOSCoordSeq_copyFromArrays_r)
#define GEOSCoordSeq_copyFromBuffer_r (rhy_late_geos_get ()->GEOSCoordSeq_copyFromBuffer_r)
#define GEOSCoordSeq_copyToArrays_r (rhy_late_geos_get ()->GEOSCoordSeq_copyToArrays_r)
#define GEOSCoordSeq_create_r (rhy_late_geos_get ()->GEOSCoordSeq_create_r)
#define GEOSCoordSeq_destroy_r (rhy_late_geos_get ()->GEOSCoordSeq_destroy_r)
#define GEOSCoordSeq_getSize_r (rhy_late_geos_get ()->GEOSCoordSeq_getSize_r)
#define GEOSCoordSeq_getXY_r (rhy_late_geos_get ()->GEOSCoordSeq_getXY_r)
#define GEOSCoordSeq_setXY_r (rhy_late_geos_get ()->GEOSCoordSeq_setXY_r)
#define GEOSCoverageUnion_r (rhy_late_geos_get ()->GEOSCoverageUnion_r)
#define GEOSDensify_r (rhy_late_geos_get ()->GEOSDensify_r)
#define GEOSDifferencePrec_r (rhy_late_geos_get ()->GEOSDifferencePrec_r)
#define GEOSEnvelope_r (rhy_late_geos_get ()->GEOSEnvelope_r)
#define GEOSGeomGetX_r (rhy_late_geos_get ()->GEOSGeomGetX_r)
#define GEOSGeomGetY_r (rhy_late_geos_get ()->GEOSGeomGetY_r)
#define GEOSGeomTypeId_r (rhy_late_geos_get ()->GEOSGeomTypeId_r)
#define GEOSGeom_clone_r (rhy_late_geos_get ()->GEOSGeom_clone_r)
#define GEOSGeom_createCollection_r (rhy_late_geos_get ()->GEOSGeom_createCollection_r)
#define GEOSGeom_createEmptyCollection_r (rhy_late_geos_get ()->GEOSGeom_createEmptyCollection_r)
#define GEOSGeom_createLineString_r (rhy_late_geos_get ()->GEOSGeom_createLineString_r)
#define GEOSGeom_createLinearRing_r (rhy_late_geos_get ()->GEOSGeom_createLinearRing_r)
#define GEOSGeom_createPolygon_r (rhy_late_geos_get ()->GEOSGeom_createPolygon_r)
#define GEOSGeom_destroy_r (rhy_late_geos_get ()->GEOSGeom_destroy_r)
#define GEOSGeom_getCoordSeq_r (rhy_late_geos_get ()->GEOSGeom_getCoordSeq_r)
#define GEOSGeom_getXMax_r (rhy_late_geos_get ()->GEOSGeom_getXMax_r)
#define GEOSGeom_getXMin_r (rhy_late_geos_get ()->GEOSGeom_getXMin_r)
#define GEOSGeom_getYMax_r (rhy_late_geos_get ()->GEOSGeom_getYMax_r)
#define GEOSGeom_getYMin_r (rhy_late_geos_get ()->GEOSGeom_getYMin_r)
#define GEOSGetExteriorRing_r (rhy_late_geos_get ()->GEOSGetExteriorRing_r)
#define GEOSGetGeometryN_r (rhy_late_geos_get ()->GEOSGetGeometryN_r)
#define GEOSGetInteriorRingN_r (rhy_late_geos_get ()->GEOSGetInteriorRingN_r)
#define GEOSGetNumGeometries_r (rhy_late_geos_get ()->GEOSGetNumGeometries_r)
#define GEOSGetNumInteriorRings_r (rhy_late_geos_get ()->GEOSGetNumInteriorRings_r)
#define GEOSIntersectionPrec_r (rhy_late_geos_get ()->GEOSIntersectionPrec_r)
#define GEOSIntersection_r (rhy_late_geos_get ()->GEOSIntersection_r)
#define GEOSMakeValid_r (rhy_late_geos_get ()->GEOSMakeValid_r)
#define GEOSPointOnSurface_r (rhy_late_geos_get ()->GEOSPointOnSurface_r)
#define GEOSPolygonize_r (rhy_late_geos_get ()->GEOSPolygonize_r)
#define GEOSPrepare_r (rhy_late_geos_get ()->GEOSPrepare_r)
#define GEOSPreparedGeom_destroy_r (rhy_late_geos_get ()->GEOSPreparedGeom_destroy_r)
#define GEOSPreparedIntersects_r (rhy_late_geos_get ()->GEOSPreparedIntersects_r)
#define GEOSPreparedNearestPoints_r (rhy_late_geos_get ()->GEOSPreparedNearestPoints_r)
#define GEOSUnaryUnionPrec_r (rhy_late_geos_get ()->GEOSUnaryUnionPrec_r)
#define GEOSUnaryUnion_r (rhy_late_geos_get ()->GEOSUnaryUnion_r)
#define GEOSUnionPrec_r (rhy_late_geos_get ()->GEOSUnionPrec_r)
#define GEOS_finish_r (rhy_late_geos_get ()->GEOS_finish_r)
#define GEOS_init_r (rhy_late_geos_get ()->GEOS_init_r)
#define GEOS_interruptRegisterCallback (rhy_late_geos_get ()->GEOS_interruptRegisterCallback)
#define GEOS_interruptRequest (rhy_late_geos_get ()->GEOS_interruptRequest)
#define GEOSisEmpty_r (rhy_late_geos_get ()->GEOSisEmpty_r)
#define GEOSisSimple_r (rhy_late_geos_get ()->GEOSisSimple_r)
#define GEOSisValid_r (rhy_late_geos_get ()->GEOSisValid_r)
#endif

#endif
