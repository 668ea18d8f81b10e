//! Decision points, their options, and the questions that are made of them.

use super::{concept, placed, within};
use crate::export::questions::{LETTERS, Question, SCORES};
use crate::export::table::{Cell, Table, number, of_case, place, row, text, truth, whole};
use crate::model::case::{Meant, Moment, Verdict};
use crate::model::corpus::{Cleared, Corpus};
use crate::model::format::{GRADES, VERDICTS};

/// The tables of this module.
pub(super) fn tables(corpus: &Corpus, questions: &[Question]) -> Vec<Table> {
    let [decisions, teaches, hands] = decisions(corpus);
    vec![decisions, teaches, hands, options(questions), flat(questions)]
}

fn decisions(corpus: &Corpus) -> [Table; 3] {
    let mut decisions = Table::new(
        "decisions",
        "Decision points of the cases, in order.",
        &["decision"],
        vec![
            text("decision", "The case and the decision.").must(),
            of_case(),
            place(),
            text("moment", "What the answer decides: the plan, a step, or what is done at a time after surgery.")
                .must()
                .one_of(["plan", "step", "after"]),
            text("step", "The step that it decides."),
            text("after", "The time after surgery, as it was written."),
            number("days_after", "days", "The time after surgery."),
            text("ask", "The question.").must(),
            text("grade", "Grade of the operator who must choose.").one_of(GRADES.iter().copied()),
        ],
    )
    .refers("case", "cases", "case")
    .refers("step", "steps", "step");
    let mut teaches = Table::new(
        "decision_concepts",
        "What decisions teach.",
        &["decision", "n"],
        vec![text("decision", "The decision.").must(), place(), text("teaches", "A concept.").must()],
    )
    .refers("decision", "decisions", "decision")
    .refers("teaches", "concepts", "concept");
    let mut hands = Table::new(
        "decision_means",
        "What is at hand when a decision is taken, and what is not.",
        &["decision", "n"],
        vec![
            text("decision", "The decision.").must(),
            place(),
            text("thing", "What.").must(),
            truth("at_hand", "Whether it is at hand.").must(),
        ],
    )
    .refers("decision", "decisions", "decision");
    for case in corpus.cases().iter().map(Cleared::case) {
        for (n, decision) in placed(&case.body.decisions) {
            let key = within(&case.name, &decision.id.value);
            let moment = match &decision.at.value {
                Moment::Plan => row!["plan", "", "", Cell::Empty],
                Moment::Step(step) => row!["step", within(&case.name, step), "", Cell::Empty],
                Moment::After(after) => row!["after", "", after.to_string(), after.days()],
            };
            let mut cells = row![&key, &case.name, n];
            cells.extend(moment);
            cells.extend(row![&decision.ask, decision.given_grade.as_ref()]);
            decisions.row(cells);
            for (n, term) in placed(&decision.teaches) {
                let term: &Meant = term;
                teaches.row(row![&key, n, concept(corpus.vocabulary(), term)]);
            }
            let at_hand = decision.at_hand.iter().map(|thing| (thing, true));
            let all = at_hand.chain(decision.not_at_hand.iter().map(|thing| (thing, false)));
            for (n, (thing, at_hand)) in placed(all) {
                hands.row(row![&key, n, thing, at_hand]);
            }
        }
    }
    [decisions, teaches, hands]
}

/// The score of a verdict, in words for the descriptor.
fn scores() -> String {
    let told = Verdict::ALL.iter().map(|verdict| format!("{} {}", verdict.word(), SCORES.of(*verdict)));
    told.collect::<Vec<_>>().join(", ")
}

fn options(questions: &[Question]) -> Table {
    let mut table = Table::new(
        "options",
        "The options of decisions, in the order in which the site shows them, which owes nothing to how good they are.",
        &["option"],
        vec![
            text("option", "The decision and the option.").must(),
            text("decision", "The decision.").must(),
            text("letter", "Its letter on the site and in the questions.").must(),
            text("choice", "What one could do.").must(),
            text("verdict", "How good it is.").must().one_of(VERDICTS.iter().copied()),
            number("score", "1", format!("What the question gives for it ({}); common practice, no source.", scores()))
                .must(),
            text("because", "Why.").must(),
            text("unless", "When it would be otherwise."),
            text("source", "Where that comes from."),
        ],
    )
    .refers("decision", "decisions", "decision");
    for question in questions {
        for (letter, option) in LETTERS.zip(&question.options) {
            table.row(row![
                within(&question.decision, &option.id),
                &question.decision,
                letter.to_string(),
                &option.choice,
                option.verdict.word(),
                SCORES.of(option.verdict),
                &option.because,
                option.unless.as_deref().unwrap_or(""),
                option.source.as_deref().unwrap_or(""),
            ]);
        }
    }
    table
}

/// One row for each question, for those who bring questions into a learning platform by hand.
fn flat(questions: &[Question]) -> Table {
    let most = questions.iter().map(|question| question.options.len()).max().unwrap_or(0);
    let mut columns = vec![
        text("question", "The identifier of the question, the same in the packages.").must(),
        of_case(),
        text("decision", "The decision.").must(),
        whole("number", "Its place among the decisions of the case, from 1.").must(),
        text("title", "A title that gives nothing away.").must(),
        text("seen", "What the surgeon had seen up to that moment, and nothing of what follows.").must(),
        text("ask", "The question.").must(),
        text("best", "The letters of the best options.").must(),
    ];
    for letter in LETTERS.take(most) {
        let small = letter.to_ascii_lowercase();
        columns.extend([
            text(format!("choice_{small}"), format!("Option {letter}.")),
            number(format!("score_{small}"), "1", format!("What option {letter} gives.")),
            text(format!("why_{small}"), format!("How good option {letter} is, and why.")),
        ]);
    }
    let says = "The decision points as questions, one in each row: answers and reasons stand beside them.";
    let mut table = Table::new("questions", says, &["question"], columns).refers("case", "cases", "case").refers(
        "decision",
        "decisions",
        "decision",
    );
    for question in questions {
        let best = LETTERS.zip(&question.options).filter(|(_, option)| option.verdict == Verdict::Best);
        let mut cells = row![
            &question.id,
            &question.case,
            &question.decision,
            question.number,
            &question.title,
            question.seen_in_words(),
            &question.ask,
            best.map(|(letter, _)| letter).collect::<String>(),
        ];
        for option in &question.options {
            cells.extend(row![&option.choice, SCORES.of(option.verdict), option.why()]);
        }
        cells.resize(8 + 3 * most, Cell::Empty);
        table.row(cells);
    }
    table
}
