/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-howto.h"

#include <string.h>

#include "rhyton-sketch.h"

#define SHOWN_WIDTH  (RHYTON_SKETCH_WIDTH * 5 / 4)
#define SHOWN_HEIGHT (RHYTON_SKETCH_HEIGHT * 5 / 4)

typedef struct
{
  const char  *id;
  const char  *name;            /* of the button */
  const char  *sketch_name;     /* what the drawing shows, for somebody who does not see it */
  const char  *text;
  RhytonSketch sketch;
} Topic;

/* Common practice, no source, except where a number's meaning in a job says how. */
static const Topic topics[] = {
  { "height", "How to measure the height of a reading",
    "A vessel on a flat plate beside an upright ruler; the height is from the plate to where the diameter is read.",
    "Stand the vessel on a flat plate. Measure upright from the plate, not along a slanting side, to where the diameter "
    "is read: a strip of tape round the vessel with its upper edge there helps. One reading low down and one at the "
    "top of the straight side make a cone; add some between where the side is curved.",
    rhyton_sketch_height },
  { "diameter", "How to measure the diameter",
    "From above: a caliper's jaws on either side of the round vessel, level, across its widest.",
    "Hold the caliper level at the marked height, with both jaws touching. Rock it a little: the greatest reading is the "
    "diameter. Read again a quarter turn further; where the two differ, the vessel is out of round: enter the mean. Keep clear of "
    "handles, seams and raised print.",
    rhyton_sketch_diameter },
  { "circumference", "How to measure the circumference",
    "A tape measure lying level round a vessel, which is right, and one that slants, which is wrong.",
    "Lay a tape that does not stretch, or a strip of paper, level round the vessel, tight and flat. A tape that slants "
    "reads too much, so the least of a few readings is the best. On a strong taper use a caliper: a tape does not lie "
    "flat there.",
    rhyton_sketch_circumference },
  { "capacity", "How to find the capacity",
    "A vessel full of water on kitchen scales: full less empty, a gram is a millilitre.",
    "Weigh the vessel empty and dry, then filled with cold water to the brim. The difference in grams is the capacity in "
    "ml, within half a percent. Or take what is stamped on it, if that is to the brim and not to a line.",
    rhyton_sketch_capacity },
  { "thickness", "How to measure the thickness of the wall",
    "The rim cut open: a caliper's jaws inside and outside, square to the wall.",
    "Put one jaw inside and one outside, square to the wall, below a rolled or thickened rim. With two walls and air "
    "between them measure over both. It is needed only to compare the capacity.",
    rhyton_sketch_thickness },
  { "floor", "How to measure the height of the floor",
    "A vessel cut open: a bar over the brim and a rod down to the floor give the depth D; the height H is outside; the floor is at H less D.",
    "Lay a straight bar over the brim and measure down to the floor inside: D. Measure the whole height outside from the "
    "plate: H. The floor is at H less D above the plate. Where it is domed take a height between middle and edge.",
    rhyton_sketch_floor },
  { "fill", "How to measure the height of the fill line",
    "A vessel filled to a line, beside an upright ruler: the height is from the plate to the line.",
    "Only where the stated capacity is meant up to a line and not to the brim. Measure upright from the plate to the line, as "
    "for a reading. To find where a volume would stand instead, type it below.",
    rhyton_sketch_fill },
  { "overall", "How to measure the overall height",
    "A straight bar lies on the rim of a vessel; the height is from the plate to the bar.",
    "Lay a straight bar over the rim and measure upright from the plate to its underside. It stands for the height of "
    "the highest reading: leave it empty where that is not at the rim.",
    rhyton_sketch_overall },
  { "slant", "How to measure the length along the wall",
    "A tape lies on the slanting side of a vessel, from its lowest reading to its highest.",
    "Lay a tape on the side, straight up from the lowest reading to the highest, flat on the wall. With the heights it says "
    "how steep the wall is; where they contradict each other, the check says so.",
    rhyton_sketch_slant },
  { "width", "How to measure the width on the wall",
    "A tape lying on the wall below the artwork, from its left edge to its right.",
    "Measured along the wall, as a tape laid on it reads, not straight across. Hold a strip of paper to the vessel, mark where "
    "the artwork is to begin and to end, and measure the strip flat.",
    rhyton_sketch_width },
  { "place", "How to measure the height above the base",
    "A vessel on a flat plate beside an upright ruler; the height is from the plate to the middle of the artwork.",
    "Stand the vessel on a flat plate and measure upright to where the middle of the artwork is to be. The beam is lined up "
    "with that point: mark it lightly on the blank, or on tape.",
    rhyton_sketch_place },
  { "around", "How to measure the angle from the front",
    "From above: the front below, the handle behind; the angle runs anticlockwise from the front to the middle of the artwork.",
    "Seen from above it runs anticlockwise from the front: to the right for somebody who faces the vessel. With "
    "a handle at the back, 90\u00b0 is a quarter turn away from it. By tape: distance from the front round the vessel, over "
    "the circumference, times 360.",
    rhyton_sketch_around },
  { "eye", "How to measure where the reader's eye is",
    "A reader's eye beside a vessel: how far it is from the vessel's axis, and how high above the base.",
    "The distance is level, from the vessel's axis to the eye; the height is from the base up. Arm's length, about "
    "600\u202fmm, suits a mug in the hand; 0 means very far away.",
    rhyton_sketch_eye },
  { "tilt", "How to measure the tilt",
    "A tapered vessel in a chuck: the tilt is the angle from level down to its axis, towards the mouth.",
    "Lay an inclinometer along the chuck's axis or its cradle, not on the tapered side. Level reads 0; an axis that dips "
    "towards the mouth counts plus, one that rises to it minus. A vessel that opens to its mouth dips until the line "
    "under the head is level. Only with the laser off and the machine at rest.",
    rhyton_sketch_tilt },
  { "travel", "How to measure the travel per turn",
    "A line drawn on the flat sheet becomes a ring round the work: the travel per turn is the line that just closes it.",
    "How long a line across the axis must be in the drawing to go once round. Mark the work, make a line of known length "
    "on scrap at the lowest power that shows, and measure how far round it went: travel = length \u00d7 circumference / distance. "
    "The Make step has a test piece for it. Empty: worked out from the diameter. Follow the machine's manual; wear the "
    "eye protection it asks for.",
    rhyton_sketch_travel },
  { "reference", "How to measure the reference diameter",
    "A tapered vessel in a chuck: the diameter of the widest ring under the artwork.",
    "Only where the machine's software asks for a diameter and turns it into travel: the same figure goes here and there. "
    "Usual is the diameter where the artwork reaches the widest part of the vessel, by caliper; empty means that one.",
    rhyton_sketch_reference },
  { "wobble", "How to measure the wobble",
    "A dial on a stand touches the held work while it turns; the wobble is from its lowest to its highest reading.",
    "Set a dial on the bed so that it touches the work, near the free end. Turn the work once by hand, with the laser off: highest less "
    "lowest reading. Without a dial, hold a feeler between a fixed edge and the work.",
    rhyton_sketch_wobble },
  { "axis", "How to measure the axis above the bed",
    "A rotary standing on the bed: the height is from the bed to the middle of the chuck.",
    "With the laser off, measure from the bed to the middle of the chuck; or grip a straight round bar, measure to its top, and take "
    "off half its diameter. What stands under the rotary counts in.",
    rhyton_sketch_axis },
  { "nozzle-top", "How to measure the nozzle at its highest",
    "The head as far up as it goes: the height is from the bed to the nozzle's tip.",
    "With the laser off, move the head or the bed apart as far as the machine lets it, and measure from the bed up to the nozzle's "
    "tip. It decides how much has to go below the machine, or how thick the work may be.",
    rhyton_sketch_nozzle_top },
  { "distance", "How to measure the working distance",
    "The distance from the nozzle's tip down to the top of the work, when it is in focus.",
    "From the nozzle's tip to the surface when the beam is in focus: the length of the gauge that came with the machine, "
    "or what its manual says. Set it with the laser off.",
    rhyton_sketch_distance },
  { "rollers", "How to measure the gap of the rollers",
    "From the end, the work lies on two rollers; the gap is the clear space between them.",
    "The clear space between the two rollers, without the work, by caliper: not from middle to middle. Their radius is half "
    "the diameter that the caliper reads over one of them.",
    rhyton_sketch_rollers },
  { "contact", "How to measure the contact height",
    "A vessel lies on a roller: along its axis, from the base to the ring that touches the roller.",
    "Along the axis, from the base to where the rollers touch the wall: mark the ring, stand the vessel on its base and measure up to it. "
    "On a taper it decides the travel per turn, so hold it there with a stop. Empty: at the height of the mark.",
    rhyton_sketch_contact },
  { "support", "How to measure the support height",
    "A held vessel with a roller under it: along its axis, from the base to the ring that the roller carries.",
    "Along the axis, from the base, wherever that is held, to the ring that the roller carries. Choose a smooth, round place without ink. "
    "Empty: a quarter of the wall from the free end.",
    rhyton_sketch_support },
  { "droop", "How to measure the droop",
    "A level lies on work that hangs down from its chuck; the droop is the angle from the chuck's line to the work's.",
    "With the laser off, lay a level on the chuck and then on the held piece, on a straight side; on a taper take off its slope. "
    "The difference is the droop. Only a heavy piece in a light chuck has enough of it to count; 0 is none.",
    rhyton_sketch_droop },
  { "defocus", "How to measure how far it is out of focus",
    "A beam is narrowest above the work; the number is from there down to the work.",
    "Nothing to measure: what you mean to add to the working distance, to make lines wider or a burn softer. Minus is nearer than the "
    "focus, so that the head comes lower. 0 is in focus.",
    rhyton_sketch_defocus },
  { "focus-depth", "How to measure the depth of focus",
    "Lines burnt at different heights below a nozzle: a few in the middle are fine, those above and below are wide; the depth spans the fine ones.",
    "Burn a line on a flat scrap that slopes, a ruler's length with one end raised by a known height. It is finest in the middle: mark where it "
    "becomes visibly wider on either side. The difference of height between the two marks is the depth. Wear the eye protection that "
    "the machine's manual asks for.",
    rhyton_sketch_focus_depth },
  { "head", "How to measure the head",
    "A head from the side: r is the nozzle's radius, w from the beam to the side of the body, h from the tip up to the body.",
    "With the laser off, by caliper: r is half the nozzle's width at its tip; w is from the beam, the middle of the nozzle, to whatever is "
    "farthest out beside it along the rotary's axis, hoses and probes too; h is from the tip up to the underside of that.",
    rhyton_sketch_head },
  { "tilt-limits", "How to measure the limits of the tilt",
    "A chuck that can be tilted: minus lifts its free end above level, plus lets it dip.",
    "With the laser off, tilt the chuck as far as it goes each way and lay an inclinometer on it. The free end above level counts minus, "
    "below it plus. A chuck that does not tilt has 0 and 0; empty is no limit.",
    rhyton_sketch_tilt_limits },
  { "jaws", "How to measure the chuck and its jaws",
    "Work in a chuck: d is how much of the wall the jaws cover, s how far they stand out of it, R the chuck's radius behind them.",
    "With the laser off and the work held: d is along the wall, from the held end to the jaws' tips; s is square to the wall, to the outermost "
    "part of a jaw; R is half the diameter of the chuck's body. What stands out farther than you think hits the head.",
    rhyton_sketch_jaws },
  { "tailstock", "How to measure the tailstock",
    "Something round presses against the free end; its radius is from the axis to its edge.",
    "Half the diameter of what presses against the free end, and of all that turns with it, by caliper.",
    rhyton_sketch_tailstock },
  { "pins", "How to measure the pins",
    "A ball between two pins: r is a pin's radius, l from the ball to what carries the pin.",
    "By caliper: r is half a pin's diameter; l is how far the pin stands out, from the ball to the thicker part that carries it.",
    rhyton_sketch_pins },
  { "bed", "How to measure the bed",
    "A table with the smaller rectangle on it that the beam can reach: x from left to right, y from front to back.",
    "Not the table but what the beam reaches: with the laser off, move the head to one corner and to the opposite one, and take the "
    "difference of the places that the machine shows. Or see its manual.",
    rhyton_sketch_bed },
  { "zone-edges", "How to measure a zone",
    "A vessel with a handle on a plate: its lower and its upper edge are measured up from the plate, and how far it stands out from the wall.",
    "Stand the vessel on a flat plate. Measure upright from the plate to the lower and to the upper edge, and square from the wall to the "
    "outermost point. What lies flat on the wall, a seam or a rim, stands out by 0. The margin is what you want to stay free about it.",
    rhyton_sketch_zone_edges },
  { "zone-around", "How to measure where a zone is around",
    "From above: the angle anticlockwise from the front to a handle's middle, and the angle from its one side to its other.",
    "Seen from above, anticlockwise from the front to its middle: a handle at the back is at 180\u00b0. Its width is the angle from side to side: by tape, "
    "its width on the wall over the circumference there, times 360. All round is 360\u00b0.",
    rhyton_sketch_zone_around },
  { "tall", "How to measure the height on the wall",
    "A tape lies on the slanting wall beside the artwork, from its lower edge to its upper.",
    "Along the wall, as a tape laid on it reads, not upright beside the vessel. Width and height belong together: one follows the other.",
    rhyton_sketch_tall },
  { "turn", "How to measure the turn",
    "A vessel from the front: artwork on it turned anticlockwise out of the level.",
    "Anticlockwise for somebody who faces the artwork: 90\u00b0 reads upwards, 180\u00b0 is upside down, minus is clockwise.",
    rhyton_sketch_turn },
  { "height-uncertainty", "How to find how sure a height is",
    "Nine readings of one thing on a scale: u is from their middle to either side, so far that two of three lie within.",
    "Measure the same height some nine times, setting up anew each time: about six of the readings lie within \u00b1u of their middle (the "
    "standard uncertainty, k = 1). A ruler held by hand is good for about 0.5\u202fmm. More means a printed size that is less sure, "
    "and readings that disagree are then believed for longer.",
    rhyton_sketch_spread },
  { "diameter-uncertainty", "How to find how sure a diameter is",
    "Nine readings of one thing on a scale: u is from their middle to either side, so far that two of three lie within.",
    "Measure the same diameter some nine times, around the vessel as well: about six of the readings lie within \u00b1u of their middle (the "
    "standard uncertainty, k = 1). A caliper is good for about 0.05\u202fmm, a tape for 0.5\u202fmm of circumference; a vessel that is out of "
    "round for less. Rounded to whole mm it is 0.3\u202fmm.",
    rhyton_sketch_spread },
  { "lettering", "How to measure lettering",
    "Three letters: how tall from foot to head, and how wide from the first to the last.",
    "On the wall, as a tape laid on it reads: from the foot of the letters to their head, and from the first to the last. Hold a strip of "
    "paper to the vessel and mark where they are to begin and to end.",
    rhyton_sketch_lettering },
  { "camera", "How to measure from the camera to the axis",
    "A camera on a level with a vessel's middle: the distance is from its lens to the vessel's axis.",
    "By tape, level, from the front of the lens to the middle of the vessel: to its side, and half its diameter more. Six heights of "
    "the vessel or more is best. Empty, the edges of base and rim tell it, where they can be seen.",
    rhyton_sketch_camera },
};

struct _RhytonHowto
{
  GtkWidget  parent_instance;

  const Topic *topic;           /* nullable */
  GtkWidget   *button;
  GtkWidget   *popover;         /* nullable: made when first opened; weak */
  GtkWidget   *scroller;        /* nullable: what scrolls the button, while it is open */
  guint        tick;            /* 0: nothing to open or close */
  int          waited;          /* frames */
};

enum { PROP_TOPIC = 1, N_PROPS };

static GParamSpec *properties[N_PROPS];

G_DEFINE_FINAL_TYPE (RhytonHowto, rhyton_howto, GTK_TYPE_WIDGET)

const char **
rhyton_howto_get_topics (void)
{
  const char **ids = g_new0 (const char *, G_N_ELEMENTS (topics) + 1);
  for (gsize i = 0; i < G_N_ELEMENTS (topics); i++)
    ids[i] = topics[i].id;
  return ids;
}

static void
draw (GtkDrawingArea *area,
      cairo_t        *cr,
      int             width,
      int             height,
      gpointer        topic)
{
  rhyton_sketch_show (((const Topic *) topic)->sketch, GTK_WIDGET (area), cr, width, height);
}

static GtkWidget *
make_sketch (const Topic *topic)
{
  GtkWidget *area = g_object_new (GTK_TYPE_DRAWING_AREA, "accessible-role", GTK_ACCESSIBLE_ROLE_IMG, NULL);

  gtk_drawing_area_set_content_width (GTK_DRAWING_AREA (area), SHOWN_WIDTH);
  gtk_drawing_area_set_content_height (GTK_DRAWING_AREA (area), SHOWN_HEIGHT);
  gtk_drawing_area_set_draw_func (GTK_DRAWING_AREA (area), draw, (gpointer) topic, NULL);
  gtk_accessible_update_property (GTK_ACCESSIBLE (area), GTK_ACCESSIBLE_PROPERTY_LABEL, topic->sketch_name, -1);
  return area;
}

static GtkWidget *
make_label (const char *text,
            const char *style)
{
  GtkWidget *label = gtk_label_new (text);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_xalign (GTK_LABEL (label), 0.0f);
  gtk_label_set_max_width_chars (GTK_LABEL (label), 1);
  if (style != NULL)
    gtk_widget_add_css_class (label, style);
  return label;
}

/* It takes the focus, so that Escape finds it and a screen reader reads it out. */
static GtkWidget *
make_page (const Topic *topic)
{
  GtkWidget *box = g_object_new (GTK_TYPE_BOX, "orientation", GTK_ORIENTATION_VERTICAL, "spacing", 9,
                                 "accessible-role", GTK_ACCESSIBLE_ROLE_GROUP, "focusable", TRUE, NULL);

  gtk_widget_add_css_class (box, "howto");
  gtk_box_append (GTK_BOX (box), make_label (topic->name, "heading"));
  gtk_box_append (GTK_BOX (box), make_sketch (topic));
  gtk_box_append (GTK_BOX (box), make_label (topic->text, NULL));
  gtk_accessible_update_property (GTK_ACCESSIBLE (box), GTK_ACCESSIBLE_PROPERTY_LABEL, topic->name,
                                  GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, topic->text, -1);
  return box;
}

static void
tell_open (RhytonHowto *self,
           gboolean     open)
{
  gtk_accessible_update_state (GTK_ACCESSIBLE (self->button), GTK_ACCESSIBLE_STATE_EXPANDED, open, -1);
}

/* What the button scrolls in, or NULL. */
static GtkWidget *
find_scroller (RhytonHowto *self)
{
  GtkWidget *outermost = NULL;
  for (GtkWidget *widget = gtk_widget_get_parent (GTK_WIDGET (self)); widget != NULL; widget = gtk_widget_get_parent (widget))
    if (GTK_IS_SCROLLED_WINDOW (widget))
      outermost = widget;
  return outermost;
}

static void
unfollow (RhytonHowto *self)
{
  if (self->scroller != NULL)
    g_signal_handlers_disconnect_by_data (gtk_scrolled_window_get_vadjustment (GTK_SCROLLED_WINDOW (self->scroller)), self);
  g_clear_object (&self->scroller);
  if (self->tick != 0)
    gtk_widget_remove_tick_callback (GTK_WIDGET (self), self->tick);
  self->tick = 0;
}

static void
drop_popover (RhytonHowto *self)
{
  unfollow (self);
  if (self->popover == NULL)
    return;
  g_signal_handlers_disconnect_by_data (self->popover, self);
  GtkWidget *popover = self->popover;
  g_clear_weak_pointer (&self->popover);
  gtk_widget_unparent (popover);
}

static void
on_closed (RhytonHowto *self)
{
  unfollow (self);
  tell_open (self, FALSE);
  if (gtk_widget_get_mapped (self->button))
    gtk_widget_grab_focus (self->button);
}

static gboolean
close_moved (GtkWidget     *widget,
             GdkFrameClock *clock,
             gpointer       data)
{
  RhytonHowto *self = RHYTON_HOWTO (widget);
  self->tick = 0;
  if (self->popover != NULL)
    gtk_popover_popdown (GTK_POPOVER (self->popover));
  return G_SOURCE_REMOVE;
}

/* A frame later: it may come in the middle of a layout, where nothing can be closed. */
static void
on_moved (RhytonHowto *self)
{
  if (self->tick == 0)
    self->tick = gtk_widget_add_tick_callback (GTK_WIDGET (self), close_moved, NULL, NULL);
}

static void
follow (RhytonHowto *self)
{
  GtkWidget *scroller = find_scroller (self);
  if (scroller == NULL)
    return;
  GtkAdjustment *height = gtk_scrolled_window_get_vadjustment (GTK_SCROLLED_WINDOW (scroller));
  self->scroller = g_object_ref (scroller);
  g_signal_connect_swapped (height, "value-changed", G_CALLBACK (on_moved), self);
  g_signal_connect_swapped (height, "changed", G_CALLBACK (on_moved), self);
}

/* Its parent does not scroll: GTK 4.8 lays an open popover anew with its parent at once, and complains where that
 * has gone from the screen. */
static void
make_popover (RhytonHowto *self)
{
  GtkWidget *scroller = find_scroller (self);
  GtkWidget *parent = scroller != NULL ? gtk_widget_get_parent (scroller) : GTK_WIDGET (self);

  g_set_weak_pointer (&self->popover, gtk_popover_new ());
  gtk_popover_set_child (GTK_POPOVER (self->popover), make_page (self->topic));
  gtk_widget_set_parent (self->popover, parent);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->popover), GTK_ACCESSIBLE_PROPERTY_LABEL, self->topic->name, -1);
  g_signal_connect_swapped (self->popover, "closed", G_CALLBACK (on_closed), self);
}

static void
point_at_button (RhytonHowto *self)
{
  graphene_rect_t bounds;
  if (!gtk_widget_compute_bounds (self->button, gtk_widget_get_parent (self->popover), &bounds))
    return;
  gtk_popover_set_pointing_to (GTK_POPOVER (self->popover),
                               &(GdkRectangle) { (int) bounds.origin.x, (int) bounds.origin.y, (int) bounds.size.width, (int) bounds.size.height });
}

/* As wide as the drawing, whatever they say, and as high as they are then: a popover asks for a height without
 * a width, which makes it a line too low now and then. */
static void
fit_labels (GtkWidget *page)
{
  for (GtkWidget *child = gtk_widget_get_first_child (page); child != NULL; child = gtk_widget_get_next_sibling (child))
    if (GTK_IS_LABEL (child))
      {
        int height;
        gtk_widget_set_size_request (child, SHOWN_WIDTH, -1);
        gtk_widget_measure (child, GTK_ORIENTATION_VERTICAL, SHOWN_WIDTH, NULL, &height, NULL, NULL);
        gtk_widget_set_size_request (child, SHOWN_WIDTH, height);
      }
}

static gboolean
is_in_sight (RhytonHowto *self)
{
  GtkWidget *root = GTK_WIDGET (gtk_widget_get_root (self->button));
  graphene_rect_t bounds, window;

  if (root == NULL || !gtk_widget_get_mapped (self->button) || !gtk_widget_compute_bounds (self->button, root, &bounds))
    return FALSE;
  graphene_rect_init (&window, 0.0f, 0.0f, (float) gtk_widget_get_width (root), (float) gtk_widget_get_height (root));
  return graphene_rect_contains_rect (&window, &bounds);
}

/* Somebody who does not see the screen may press a button that is scrolled away; a popover
 * must not point to where nothing is. The focus brings the button back, a frame later. */
static gboolean
open_when_in_sight (GtkWidget     *widget,
                    GdkFrameClock *clock,
                    gpointer       data)
{
  RhytonHowto *self = RHYTON_HOWTO (widget);

  if (!is_in_sight (self) && ++self->waited < 10)
    return G_SOURCE_CONTINUE;
  self->tick = 0;
  if (self->waited >= 10)
    return G_SOURCE_REMOVE;
  if (self->popover == NULL)
    make_popover (self);
  fit_labels (gtk_popover_get_child (GTK_POPOVER (self->popover)));
  point_at_button (self);
  tell_open (self, TRUE);
  gtk_popover_popup (GTK_POPOVER (self->popover));
  gtk_widget_grab_focus (gtk_popover_get_child (GTK_POPOVER (self->popover)));
  follow (self);
  return G_SOURCE_REMOVE;
}

static void
on_clicked (RhytonHowto *self)
{
  if (self->topic == NULL || self->tick != 0)
    return;
  gtk_widget_grab_focus (self->button);
  self->waited = 0;
  self->tick = gtk_widget_add_tick_callback (GTK_WIDGET (self), open_when_in_sight, NULL, NULL);
}

GtkWidget *
rhyton_howto_get_popover (RhytonHowto *self)
{
  g_return_val_if_fail (RHYTON_IS_HOWTO (self), NULL);
  return self->popover;
}

gboolean
rhyton_howto_is_open (RhytonHowto *self)
{
  g_return_val_if_fail (RHYTON_IS_HOWTO (self), FALSE);
  return self->popover != NULL && gtk_widget_get_visible (self->popover);
}

const char *
rhyton_howto_get_topic (RhytonHowto *self)
{
  g_return_val_if_fail (RHYTON_IS_HOWTO (self), NULL);
  return self->topic != NULL ? self->topic->id : NULL;
}

void
rhyton_howto_set_topic (RhytonHowto *self,
                        const char  *topic)
{
  g_return_if_fail (RHYTON_IS_HOWTO (self) && topic != NULL);

  const Topic *found = NULL;
  for (gsize i = 0; i < G_N_ELEMENTS (topics) && found == NULL; i++)
    if (strcmp (topics[i].id, topic) == 0)
      found = &topics[i];
  g_return_if_fail (found != NULL);
  if (found == self->topic)
    return;
  self->topic = found;
  drop_popover (self);
  gtk_widget_set_tooltip_text (self->button, found->name);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->button), GTK_ACCESSIBLE_PROPERTY_LABEL, found->name, -1);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_TOPIC]);
}

GtkWidget *
rhyton_howto_new (const char *topic)
{
  return g_object_new (RHYTON_TYPE_HOWTO, "topic", topic, NULL);
}

static void
rhyton_howto_set_property (GObject      *object,
                           guint         id,
                           const GValue *value,
                           GParamSpec   *pspec)
{
  if (id != PROP_TOPIC)
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
  else if (g_value_get_string (value) != NULL)
    rhyton_howto_set_topic (RHYTON_HOWTO (object), g_value_get_string (value));
}

static void
rhyton_howto_get_property (GObject    *object,
                           guint       id,
                           GValue     *value,
                           GParamSpec *pspec)
{
  if (id == PROP_TOPIC)
    g_value_set_string (value, rhyton_howto_get_topic (RHYTON_HOWTO (object)));
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
}

/* Its popover belongs to somebody who may stay. */
static void
rhyton_howto_unmap (GtkWidget *widget)
{
  RhytonHowto *self = RHYTON_HOWTO (widget);

  unfollow (self);
  GTK_WIDGET_CLASS (rhyton_howto_parent_class)->unmap (widget);
  if (self->popover != NULL)
    gtk_popover_popdown (GTK_POPOVER (self->popover));
}

static void
rhyton_howto_dispose (GObject *object)
{
  RhytonHowto *self = RHYTON_HOWTO (object);

  drop_popover (self);
  g_clear_pointer (&self->button, gtk_widget_unparent);
  G_OBJECT_CLASS (rhyton_howto_parent_class)->dispose (object);
}

static void
rhyton_howto_class_init (RhytonHowtoClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  object_class->set_property = rhyton_howto_set_property;
  object_class->get_property = rhyton_howto_get_property;
  object_class->dispose = rhyton_howto_dispose;
  widget_class->unmap = rhyton_howto_unmap;

  properties[PROP_TOPIC] = g_param_spec_string ("topic", NULL, NULL, NULL,
                                                G_PARAM_READWRITE | G_PARAM_STATIC_STRINGS | G_PARAM_EXPLICIT_NOTIFY);
  g_object_class_install_properties (object_class, N_PROPS, properties);
  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
}

static void
rhyton_howto_init (RhytonHowto *self)
{
  self->button = gtk_button_new_with_label ("?");
  gtk_widget_add_css_class (self->button, "flat");
  gtk_widget_add_css_class (self->button, "howto-button");
  gtk_widget_set_valign (GTK_WIDGET (self), GTK_ALIGN_START);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->button), GTK_ACCESSIBLE_PROPERTY_HAS_POPUP, TRUE, -1);
  tell_open (self, FALSE);
  gtk_widget_set_parent (self->button, GTK_WIDGET (self));
  g_signal_connect_swapped (self->button, "clicked", G_CALLBACK (on_clicked), self);
}
