//! Numbers that cannot be right.

use crate::check::Context;
use crate::diag::{Diagnostic, Rule, Severity};
use crate::model::case::{CaseSyntax, Lens, Measures, Written};
use crate::model::measure::{Plausible, Quantity, Verdict, plausible};
use crate::text::Spanned;

/// See [`Rule`].
pub(crate) static RULE: Rule = Rule {
    name: "implausible-value",
    severity: Severity::Error,
    what: r"A number is outside what the eye or the machine can have.",
    why: r"It is usually a slip or a wrong unit, and a learner may take it for true.",
    instead_of: r"axial length: 234 mm",
    write: r"axial length: 23.4 mm",
    source: r"the bands stand in one table with the source of each; where no published range is known it says common practice, no source",
    quotes: true,
};
/// See [`Rule`].
pub(crate) static UNUSUAL: Rule = Rule {
    name: "unusual-value",
    severity: Severity::Advice,
    what: r"A number is possible but rare.",
    why: r"It may be what makes the case worth telling, or a slip.",
    instead_of: r"endothelial cell count: 5200 cells/mm2",
    write: r"endothelial cell count: 2500 cells/mm2",
    source: r"as for implausible-value",
    quotes: true,
};

/// Every number that has a band.
pub(crate) fn check(case: &CaseSyntax, _: &Context<'_>, out: &mut Vec<Diagnostic>) {
    for measures in
        case.before.iter().map(|visit| &visit.measures).chain(case.outcomes.iter().map(|visit| &visit.measures))
    {
        visit(measures, out);
    }
    let incision = case.operation.incision.as_ref().and_then(|incision| incision.width.as_ref());
    judge("incision width", incision, out);
    let later = case.later.iter().filter_map(|later| later.lens.as_ref());
    for lens in case.planned.lens.iter().chain(&case.operation.lens).chain(later) {
        implant(lens, out);
    }
    for (name, value) in case.operation.steps.iter().flat_map(|step| &step.settings) {
        judge(&name.value, Some(value), out);
    }
}

fn visit(measures: &Measures, out: &mut Vec<Diagnostic>) {
    for (name, value) in &measures.quantities {
        judge(name, Some(value), out);
    }
    if let Some(keratometry) = &measures.keratometry {
        judge("keratometry", keratometry.flat.as_ref(), out);
        judge("keratometry", keratometry.steep.as_ref(), out);
        judge("steep axis", keratometry.steep_axis.as_ref(), out);
    }
    if let Some(refraction) = &measures.refraction {
        for (name, number) in [("sphere", refraction.value.sphere()), ("cylinder", refraction.value.cylinder())] {
            if let Some(band) = plausible(name) {
                say(band, band.judge_number(number), &format!("{number} D"), refraction.span, out);
            }
        }
    }
}

fn implant(lens: &Lens<Written>, out: &mut Vec<Diagnostic>) {
    judge("lens power", lens.power.as_ref(), out);
    judge("lens target", lens.target.as_ref(), out);
    judge("lens cylinder", lens.cylinder.as_ref(), out);
    judge("lens axis", lens.axis.as_ref(), out);
}

fn judge(name: &str, value: Option<&Spanned<Quantity>>, out: &mut Vec<Diagnostic>) {
    if let Some(value) = value
        && let Some(band) = plausible(name)
        && let Some(verdict) = band.judge(&value.value)
    {
        say(band, verdict, &value.value.to_string(), value.span, out);
    }
}

fn say(band: &Plausible, verdict: Verdict, shown: &str, span: crate::text::Span, out: &mut Vec<Diagnostic>) {
    let unit = band.unit.plural();
    let (rule, limits, what) = match verdict {
        Verdict::Usual => return,
        Verdict::Impossible => (&RULE, band.possible, "cannot be right for"),
        Verdict::Unusual => (&UNUSUAL, band.usual, "is rare for"),
    };
    out.push(
        Diagnostic::at(
            rule,
            span,
            format!("{shown} {what} the field `{}`; expected is {} to {} {unit}", band.measure, limits.0, limits.1),
        )
        .mend(format!("look the number and its unit up again (band: {})", band.source)),
    );
}
