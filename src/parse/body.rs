//! The narrative: decision blocks, links, and what may not stand there.

use super::lower::Lower;
use super::rules::{code_fence, unreadable_value};
use super::yaml;
use crate::diag::Diagnostic;
use crate::model::case::{Body, Choice, Decision, Moment, Verdict, Written};
use crate::model::format;
use crate::model::markdown;
use crate::model::measure::{After, Fault};
use crate::text::{FileId, Span, Spanned};
use pulldown_cmark::{CodeBlockKind, Event, Tag, TagEnd};

/// Takes apart the Markdown `text`, which begins at byte `base` of `file`.
///
/// Comments of its decisions are added to `comments`.
pub(crate) fn body(
    text: &str,
    file: FileId,
    base: usize,
    comments: &mut Vec<Span>,
    out: &mut Vec<Diagnostic>,
) -> Body<Written> {
    let place = |range: std::ops::Range<usize>| Span::new(file, base + range.start, base + range.end);
    let mut body = Body { span: place(0..text.len()), ..Body::default() };
    // A decision block that is open: its whole range and the parts of its text so far.
    let mut block: Option<(std::ops::Range<usize>, Vec<std::ops::Range<usize>>)> = None;
    let mut anchors = markdown::Anchors::default();
    let mut heading: Option<String> = None;
    for (event, range) in markdown::parser(text).into_offset_iter() {
        if let Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(_))) = &event {
            let block = &text[range.clone()];
            let first = range.start..range.start + block.lines().next().map_or(0, str::len);
            // A decision that stands in another block was meant as one.
            let swallowed = block.lines().skip(1).any(|line| {
                let line = line.trim_start();
                let info = line.trim_start_matches(['`', '~']);
                line.len() - info.len() >= 3 && markdown::is_decision(info)
            });
            if swallowed || !markdown::is_closed(block) {
                out.push(code_fence::unclosed(place(first)));
            }
        }
        match event {
            Event::Start(Tag::Heading { .. }) => heading = Some(String::new()),
            Event::Text(words) if heading.is_some() => heading.iter_mut().for_each(|heading| heading.push_str(&words)),
            Event::SoftBreak if heading.is_some() => heading.iter_mut().for_each(|heading| heading.push('\n')),
            Event::End(TagEnd::Heading(_)) => body.anchors.extend(heading.take().map(|words| anchors.next(&words))),
            Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(info))) if markdown::is_decision(&info) => {
                block = Some((range, Vec::new()));
            }
            Event::End(TagEnd::CodeBlock) => {
                if let Some((whole, parts)) = block.take() {
                    body.decisions.extend(decision(
                        text,
                        whole,
                        &parts,
                        (file, base),
                        (comments, &mut body.escaped),
                        out,
                    ));
                }
            }
            Event::Text(_) if block.is_some() => {
                if let Some((_, parts)) = &mut block {
                    parts.push(range);
                }
            }
            Event::Start(Tag::Link { dest_url, .. } | Tag::Image { dest_url, .. }) => {
                // The destination is found again in the text so that a finding points at it, not at the whole link.
                let start = text[range.clone()].rfind(&*dest_url).map_or(range.start, |at| range.start + at);
                let end = if start == range.start { range.end } else { start + dest_url.len() };
                body.links.push(Spanned::new(dest_url.to_string(), place(start..end)));
            }
            Event::Html(_) | Event::InlineHtml(_) => body.html.push(place(range)),
            _ => {}
        }
    }
    body
}

fn decision(
    text: &str,
    whole: std::ops::Range<usize>,
    parts: &[std::ops::Range<usize>],
    (file, base): (FileId, usize),
    (comments, escaped): (&mut Vec<Span>, &mut Vec<Spanned<String>>),
    out: &mut Vec<Diagnostic>,
) -> Option<Decision<Written>> {
    let span = Span::new(file, base + whole.start, base + whole.end);
    let (Some(first), Some(last)) = (parts.first(), parts.last()) else {
        out.push(unreadable_value::found(
            span,
            "this decision block is empty; it needs the fields id, at, ask and options",
            &[],
        ));
        return None;
    };
    // Inside a list or quote the block's lines are not one piece of the file; offsets would then be wrong.
    let inner = first.start..last.end;
    let joined: usize = parts.iter().map(ExactSizeIterator::len).sum();
    if joined != inner.len() && !text[inner.clone()].contains('\r') {
        out.push(unreadable_value::found(
            span,
            "a decision block stands inside a list or a quotation; begin its fence at the start of a line",
            &[],
        ));
        return None;
    }
    let document = yaml::parse(&text[inner.clone()], file, base + inner.start, out);
    comments.extend(yaml::comments(&text[inner.clone()], file, base + inner.start, &document.root));
    document.root.escaped(&text[inner.clone()], base + inner.start, escaped);
    let mut lower = Lower { out, lost: document.lost };
    let lower = &mut lower;
    let fields = lower.fields(&document.root, &format::DECISION)?;
    let given = fields.get("given").and_then(|node| lower.fields(node, &format::GIVEN));
    Some(Decision {
        span,
        id: lower.name(fields.get("id")).unwrap_or_else(|| Spanned::new(String::new(), span)),
        at: lower.value(fields.get("at"), moment).unwrap_or_else(|| Spanned::new(Moment::Plan, fields.span)),
        ask: lower.text_or_empty(&fields, "ask"),
        teaches: lower.texts(fields.get("teaches")),
        given_grade: given.as_ref().and_then(|given| lower.word(given, "grade")),
        at_hand: given.as_ref().map_or_else(Vec::new, |given| lower.texts(given.get("at hand"))),
        not_at_hand: given.as_ref().map_or_else(Vec::new, |given| lower.texts(given.get("not at hand"))),
        options: lower.list(fields.get("options"), |lower, node| {
            let fields = lower.fields(node, &format::OPTION)?;
            let verdict = lower.word(&fields, "verdict");
            Some(Choice {
                span: node.span,
                choice: lower.text_or_empty(&fields, "choice"),
                verdict: verdict.map_or_else(
                    || Spanned::new(Verdict::Acceptable, node.span),
                    |word| {
                        word.map(|word| {
                            Verdict::ALL
                                .into_iter()
                                .find(|verdict| verdict.word() == word)
                                .unwrap_or(Verdict::Acceptable)
                        })
                    },
                ),
                because: lower.text(fields.get("because")),
                unless: lower.text(fields.get("unless")),
                source: lower.text(fields.get("source")),
            })
        }),
    })
}

/// `plan`, a step's name, or `after 3 days`.
fn moment(text: &str) -> Result<Moment, Fault> {
    if text == "plan" {
        return Ok(Moment::Plan);
    }
    if let Some(after) = text.strip_prefix("after ") {
        return After::parse(after).map(Moment::After).map_err(|mut fault| {
            fault.part = fault.part.start + 6..fault.part.end + 6;
            fault
        });
    }
    if !text.is_empty() && text.len() <= 40 && text.bytes().all(|byte| matches!(byte, b'a'..=b'z' | b'0'..=b'9' | b'-'))
    {
        return Ok(Moment::Step(text.to_owned()));
    }
    Err(Fault {
        message: format!("`{}` is not a moment of the case", text.chars().take(60).collect::<String>()),
        part: 0..text.len(),
        mends: vec!["s5".to_owned(), "plan".to_owned(), "after 3 days".to_owned()],
    })
}
