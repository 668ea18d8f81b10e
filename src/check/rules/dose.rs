//! Doses in and around the eye outside what was published.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::{CaseSyntax, Drug, Written};
use crate::model::measure::Unit;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "dose-out-of-range",
    severity: Severity::Error,
    what: r"A dose or strength is outside the published range for its route.",
    why: r"Ten times the dose of an antibiotic inside the eye destroys retina and endothelium; a learner may copy the number.",
    instead_of: r"{substance: cefuroxime, strength: 100 mg/mL, dose: 0.1 mL, route: intracameral}",
    write: r"{substance: cefuroxime, strength: 10 mg/mL, dose: 0.1 mL, route: intracameral}",
    source: r"each limit names its source in the message; most are common practice, no source",
    quotes: true,
};

/// What a limit bounds.
#[derive(Clone, Copy)]
enum Bounds {
    /// The mass given, in mg: the dose itself, or strength times volume.
    Milligrams(f64, f64),
    /// The mass for each kilogram of body weight, in g.
    GramsPerKg(f64, f64),
    /// The strength, in % (g in 100 mL).
    Percent(f64, f64),
}

/// A limit for a substance, by its concept's name, and a route.
struct Limit {
    substance: &'static str,
    route: &'static str,
    bounds: Bounds,
    source: &'static str,
}

const PRACTICE: &str = "common practice, no source";
const ESCRS: &str =
    "1 mg in 0.1 mL: ESCRS Endophthalmitis Study Group 2007, doi:10.1016/j.jcrs.2007.02.032, with a tenth either way";
const EVS: &str =
    "1.0 mg in 0.1 mL: Endophthalmitis Vitrectomy Study, Arch Ophthalmol 1995;113:1479-96, with a tenth either way";

const LIMITS: &[Limit] = &[
    limit("cefuroxime", "intracameral", Bounds::Milligrams(0.9, 1.1), ESCRS),
    limit("moxifloxacin", "intracameral", Bounds::Milligrams(0.1, 0.75), "0.1 to 0.75 mg: common practice, no source"),
    limit("vancomycin", "intravitreal", Bounds::Milligrams(0.9, 1.1), EVS),
    limit("ceftazidime", "intravitreal", Bounds::Milligrams(2.0, 2.5), "2.25 mg in 0.1 mL: common practice, no source"),
    limit(
        "amikacin",
        "intravitreal",
        Bounds::Milligrams(0.2, 0.44),
        "0.4 mg in 0.1 mL: Endophthalmitis Vitrectomy Study, Arch Ophthalmol 1995;113:1479-96, half of it by common practice",
    ),
    limit("dexamethasone", "intravitreal", Bounds::Milligrams(0.2, 0.8), PRACTICE),
    limit("triamcinolone", "intracameral", Bounds::Milligrams(0.1, 4.0), PRACTICE),
    limit("triamcinolone", "intravitreal", Bounds::Milligrams(1.0, 8.0), PRACTICE),
    limit("lidocaine", "intracameral", Bounds::Percent(0.3, 2.0), PRACTICE),
    limit("phenylephrine", "intracameral", Bounds::Percent(0.1, 2.5), PRACTICE),
    limit("adrenaline", "intracameral", Bounds::Percent(0.0001, 0.04), PRACTICE),
    limit("trypan-blue", "intracameral", Bounds::Percent(0.01, 0.15), PRACTICE),
    limit("acetylcholine", "intracameral", Bounds::Percent(0.5, 1.0), PRACTICE),
    limit("carbachol", "intracameral", Bounds::Percent(0.005, 0.02), PRACTICE),
    limit("povidone-iodine", "topical", Bounds::Percent(0.25, 10.0), PRACTICE),
    limit("mannitol", "intravenous", Bounds::GramsPerKg(0.25, 2.0), PRACTICE),
    limit("acetazolamide", "oral", Bounds::Milligrams(62.5, 1000.0), PRACTICE),
    limit("acetazolamide", "intravenous", Bounds::Milligrams(125.0, 1000.0), PRACTICE),
];

const fn limit(substance: &'static str, route: &'static str, bounds: Bounds, source: &'static str) -> Limit {
    Limit { substance, route, bounds, source }
}

/// Every drug that has a limit.
pub(crate) fn check(case: &CaseSyntax, context: &Context<'_>, out: &mut Vec<Diagnostic>) {
    for drug in case.drugs() {
        let names: Vec<&str> = context
            .vocabulary
            .by_term(&drug.substance.value)
            .iter()
            .flat_map(|&id| context.vocabulary.upwards(id))
            .map(|&id| context.vocabulary.get(id).name.value.as_str())
            .collect();
        let limits = LIMITS.iter().filter(|limit| limit.route == drug.route.value && names.contains(&limit.substance));
        for limit in limits {
            out.extend(judge(drug, limit));
        }
    }
}

fn judge(drug: &Drug<Written>, limit: &Limit) -> Option<Diagnostic> {
    let given = match limit.bounds {
        Bounds::Percent(..) => drug.strength.as_ref()?.value.bounds_in(Unit::Percent)?,
        Bounds::GramsPerKg(..) => drug.dose.as_ref()?.value.bounds_in(Unit::GPerKg)?,
        Bounds::Milligrams(..) => milligrams(drug)?,
    };
    let ((low, high), unit) = match limit.bounds {
        Bounds::Milligrams(low, high) => ((low, high), "mg"),
        Bounds::GramsPerKg(low, high) => ((low, high), "g/kg"),
        Bounds::Percent(low, high) => ((low, high), "%"),
    };
    // A thousandth of slack: 10 mg/mL times 0.11 mL must not fail for the last bit of a float.
    if given.0 >= low * 0.999 && given.1 <= high * 1.001 {
        return None;
    }
    let shown = if (given.1 - given.0).abs() < f64::EPSILON {
        format!("{} {unit}", rounded(given.0))
    } else {
        format!("{} to {} {unit}", rounded(given.0), rounded(given.1))
    };
    let span = match limit.bounds {
        Bounds::Percent(..) => drug.strength.as_ref()?.span,
        _ => drug.dose.as_ref()?.span,
    };
    Some(
        Diagnostic::at(
            &RULE,
            span,
            format!(
                "{shown} of {} by the {} route is outside {low} to {high} {unit}",
                drug.substance.value, limit.route
            ),
        )
        .mend(format!("look strength and dose up again ({})", limit.source)),
    )
}

/// The mass given: written as mass, or strength times volume.
fn milligrams(drug: &Drug<Written>) -> Option<(f64, f64)> {
    let dose = &drug.dose.as_ref()?.value;
    if let Some(mass) = dose.bounds_in(Unit::Mg) {
        return Some(mass);
    }
    let (least, most) = dose.bounds_in(Unit::Ml)?;
    let (weak, strong) = drug.strength.as_ref()?.value.bounds_in(Unit::MgPerMl)?;
    Some((least * weak, most * strong))
}

fn rounded(value: f64) -> f64 {
    libm::round(value * 1000.0) / 1000.0
}
