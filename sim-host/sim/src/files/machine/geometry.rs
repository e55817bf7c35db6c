//! Plates, pin rings and carriers.

use super::super::quantity::Dimension as D;
use super::super::table::Table;
use crate::model::Geometry;

pub(super) fn geometry(t: &mut Table<'_, '_>) -> Geometry {
    let teeth_inner = t.integer("teeth-inner", [8, 2000], "Teeth (pins) of the inner ring.");
    let teeth_outer = t.optional_integer(
        "teeth-outer",
        [12, 4000],
        "Teeth (pins) of the outer ring. Left out: as many as mesh, teeth-inner + 2 × teeth-carrier.",
    );
    let teeth_carrier = t.integer("teeth-carrier", [6, 2000], "Teeth of a carrier.");
    let value = Geometry {
        plate_outer: t.quantity("plate-outer", D::Length, ["50 mm", "5 m"], "Outer diameter of both plates."),
        plate_inner: t.quantity("plate-inner", D::Length, ["10 mm", "4 m"], "Inner diameter of both plates."),
        plate_thickness: t.quantity("plate-thickness", D::Length, ["5 mm", "300 mm"], "Thickness of one plate."),
        module: t.quantity(
            "module",
            D::Module,
            ["0.5 mm", "30 mm"],
            "Module of the pin and carrier teeth, or their diametral pitch.",
        ),
        teeth_inner,
        teeth_outer: teeth_outer.unwrap_or(teeth_inner + 2 * teeth_carrier),
        teeth_carrier,
        carriers: t.integer("carriers", [1, 60], "Carriers in the machine."),
        runout_ripple: t.assumed(
            "runout-ripple",
            D::Ratio,
            ["0 %", "10 %"],
            "Runout of the plates as a ripple on the contact load: amplitude as a share of the load.",
        ),
    };
    t.require_order(
        ("plate-inner", value.plate_inner),
        ("plate-outer", value.plate_outer),
        true,
    );
    t.require_order(
        ("teeth-inner", f64::from(value.teeth_inner)),
        ("teeth-outer", f64::from(value.teeth_outer)),
        true,
    );
    value
}
