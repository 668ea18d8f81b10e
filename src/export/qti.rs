//! Questions as packages of IMS (1EdTech) Question and Test Interoperability, versions 2.1 and 3.0.
//!
//! Sources: IMS QTI 2.1, Assessment Test, Section and Item Information Model and XML Binding (2012); IMS Content Packaging
//! 1.1 to 1.2, manifest; 1EdTech QTI 3.0, Assessment, Section and Item Information Model (2022), and its XML binding, which
//! writes every name of its own with `qti-` before it and hyphens between words. Both versions say the same here, so that an
//! item is written once and its names are changed. Rules of response processing are written out, since the published
//! template `map_response` sets no feedback.

use super::markup::xml;
use super::questions::{Choice, Question, SCORES};
use super::zip::zip;
use crate::model::case::Verdict;

/// A version of the standard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Version {
    /// 2.1.
    Two,
    /// 3.0.
    Three,
}

impl Version {
    /// The name of the package.
    pub(super) fn file(self) -> &'static str {
        match self {
            Self::Two => "questions-qti-2.1.zip",
            Self::Three => "questions-qti-3.0.zip",
        }
    }

    /// Namespace and schema of an item.
    fn item(self) -> (&'static str, &'static str) {
        match self {
            Self::Two => {
                ("http://www.imsglobal.org/xsd/imsqti_v2p1", "http://www.imsglobal.org/xsd/qti/qtiv2p1/imsqti_v2p1.xsd")
            }
            Self::Three => (
                "http://www.imsglobal.org/xsd/imsqtiasi_v3p0",
                "https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/imsqti_asiv3p0_v1p0.xsd",
            ),
        }
    }

    /// Namespace and schema of a manifest.
    fn manifest(self) -> (&'static str, &'static str) {
        match self {
            Self::Two => (
                "http://www.imsglobal.org/xsd/imscp_v1p1",
                "http://www.imsglobal.org/xsd/qti/qtiv2p1/qtiv2p1_imscpv1p2_v1p0.xsd",
            ),
            Self::Three => (
                "http://www.imsglobal.org/xsd/qti/qtiv3p0/imscp_v1p1",
                "https://purl.imsglobal.org/spec/qti/v3p0/schema/xsd/imsqtiv3p0_imscpv1p2_v1p0.xsd",
            ),
        }
    }

    /// The kind of a resource that is an item.
    fn resource(self) -> &'static str {
        match self {
            Self::Two => "imsqti_item_xmlv2p1",
            Self::Three => "imsqti_item_xmlv3p0",
        }
    }

    /// What the manifest calls its schema, and the schema's version.
    fn schema(self) -> (&'static str, &'static str) {
        match self {
            Self::Two => ("QTIv2.1 Package", "1.0.0"),
            Self::Three => ("QTI Package", "3.0.0"),
        }
    }

    /// The name of an element of the standard, as this version writes it.
    fn element(self, name: &str) -> String {
        match self {
            Self::Two => name.to_owned(),
            Self::Three => format!("qti-{}", hyphened(name)),
        }
    }

    /// The name of an attribute of the standard, as this version writes it.
    fn attribute(self, name: &str) -> String {
        match self {
            Self::Two => name.to_owned(),
            Self::Three => hyphened(name),
        }
    }
}

/// `responseIdentifier` becomes `response-identifier`.
fn hyphened(name: &str) -> String {
    let mut out = String::new();
    for letter in name.chars() {
        if letter.is_ascii_uppercase() {
            out.push('-');
        }
        out.push(letter.to_ascii_lowercase());
    }
    out
}

/// The package of these questions, as the bytes of a zip file.
pub(super) fn package(version: Version, questions: &[Question], language: &str) -> Vec<u8> {
    let mut files = vec![("imsmanifest.xml".to_owned(), manifest(version, questions).into_bytes())];
    files.extend(questions.iter().map(|question| (path(question), item(version, question, language).into_bytes())));
    zip(&files)
}

fn path(question: &Question) -> String {
    format!("items/{}.xml", question.id)
}

const HEAD: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";
const INSTANCE: &str = "http://www.w3.org/2001/XMLSchema-instance";

fn manifest(version: Version, questions: &[Question]) -> String {
    let (space, schema) = version.manifest();
    let (named, numbered) = version.schema();
    let mut out = format!(
        "{HEAD}<manifest xmlns=\"{space}\" xmlns:xsi=\"{INSTANCE}\" xsi:schemaLocation=\"{space} {schema}\" identifier=\"questions\">\n\
         <metadata><schema>{named}</schema><schemaversion>{numbered}</schemaversion></metadata>\n<organizations/>\n<resources>\n"
    );
    for question in questions {
        let (id, kind, path) = (&question.id, version.resource(), path(question));
        out.push_str(&format!(
            "<resource identifier=\"r-{id}\" type=\"{kind}\" href=\"{path}\"><file href=\"{path}\"/></resource>\n"
        ));
    }
    out + "</resources>\n</manifest>\n"
}

/// Writes elements of one version.
struct Writer {
    version: Version,
    out: String,
}

impl Writer {
    /// An element with what stands in it.
    fn within(&mut self, name: &str, attributes: &[(&str, &str)], inside: impl FnOnce(&mut Self)) {
        let element = self.version.element(name);
        self.out.push_str(&format!("<{element}"));
        for (name, value) in attributes {
            self.out.push_str(&format!(" {}=\"{}\"", self.version.attribute(name), xml(value)));
        }
        self.out.push('>');
        inside(self);
        self.out.push_str(&format!("</{element}>"));
    }

    /// An element in which nothing stands.
    fn empty(&mut self, name: &str, attributes: &[(&str, &str)]) {
        self.within(name, attributes, |_| {});
    }

    fn text(&mut self, text: &str) {
        self.out.push_str(&xml(text));
    }

    fn paragraph(&mut self, text: &str) {
        self.out.push_str(&format!("<p>{}</p>", xml(text)));
    }

    fn line(&mut self) {
        self.out.push('\n');
    }

    /// Declares an outcome; a float has a default, and bounds.
    fn outcome(&mut self, name: &str, kind: &str, bounds: Option<(&str, &str)>) {
        let mut attributes = vec![("identifier", name), ("cardinality", "single"), ("baseType", kind)];
        if let Some((least, most)) = bounds {
            attributes.extend([("normalMaximum", most), ("normalMinimum", least)]);
        }
        self.within("outcomeDeclaration", &attributes, |it| {
            if bounds.is_some() {
                it.within("defaultValue", &[], |it| it.within("value", &[], |it| it.text("0")));
            }
        });
        self.line();
    }

    /// Feedback on an option: how good it was and why, then the others.
    fn feedback(&mut self, question: &Question, chosen: &Choice) {
        let attributes = [("outcomeIdentifier", "FEEDBACK"), ("showHide", "show"), ("identifier", chosen.id.as_str())];
        self.within("modalFeedback", &attributes, |it| {
            let words = |it: &mut Self| {
                it.paragraph(&chosen.choice);
                it.paragraph(&chosen.why());
                it.paragraph("The other options:");
                it.out.push_str("<ul>");
                for other in question.options.iter().filter(|other| other.id != chosen.id) {
                    it.out.push_str(&format!("<li>{} {}</li>", xml(&ended(&other.choice)), xml(&other.why())));
                }
                it.out.push_str("</ul>");
                it.paragraph(super::CAUTION);
            };
            match it.version {
                Version::Two => words(it),
                Version::Three => it.within("contentBody", &[], words),
            }
        });
        self.line();
    }
}

/// With a full stop at its end, if it has no sign there.
fn ended(text: &str) -> String {
    if text.ends_with(['.', '?', '!']) { text.to_owned() } else { format!("{text}.") }
}

fn item(version: Version, question: &Question, language: &str) -> String {
    let (space, schema) = version.item();
    let mut it = Writer { version, out: HEAD.to_owned() };
    let root = version.element("assessmentItem");
    // Attributes of XML itself keep their names in both versions.
    it.out.push_str(&format!(
        "<{root} xmlns=\"{space}\" xmlns:xsi=\"{INSTANCE}\" xsi:schemaLocation=\"{space} {schema}\" identifier=\"{}\" title=\"{}\" label=\"{}\" xml:lang=\"{}\" adaptive=\"false\" {}=\"false\" {}=\"Casewright\" {}=\"{}\">\n",
        question.id,
        xml(&question.title),
        xml(&question.decision),
        xml(language),
        version.attribute("timeDependent"),
        version.attribute("toolName"),
        version.attribute("toolVersion"),
        env!("CARGO_PKG_VERSION"),
    ));
    declarations(&mut it, question);
    it.within("itemBody", &[], |it| body(it, question));
    it.line();
    processing(&mut it);
    for option in &question.options {
        it.feedback(question, option);
    }
    it.out.push_str(&format!("</{root}>\n"));
    it.out
}

fn declarations(it: &mut Writer, question: &Question) {
    let attributes = [("identifier", "RESPONSE"), ("cardinality", "single"), ("baseType", "identifier")];
    it.within("responseDeclaration", &attributes, |it| {
        // Of several best options the correct response can name one; all of them give the full score.
        let best = question.options.iter().find(|option| option.verdict == Verdict::Best);
        it.within("correctResponse", &[], |it| {
            it.within("value", &[], |it| it.text(best.map_or("", |best| best.id.as_str())));
        });
        it.within("mapping", &[("defaultValue", "0")], |it| {
            for option in &question.options {
                it.empty("mapEntry", &[("mapKey", &option.id), ("mappedValue", &option.score())]);
            }
        });
    });
    it.line();
    let bounds = [Verdict::Harmful, Verdict::Best].map(|verdict| super::table::digits(SCORES.of(verdict)));
    it.outcome("SCORE", "float", Some((&bounds[0], &bounds[1])));
    it.outcome("FEEDBACK", "identifier", None);
}

fn body(it: &mut Writer, question: &Question) {
    for piece in &question.seen {
        it.out.push_str(&format!("<h3>{}</h3>", xml(&piece.heading)));
        if !piece.lines.is_empty() {
            it.out.push_str("<ul>");
            for line in &piece.lines {
                it.out.push_str(&format!("<li>{}</li>", xml(line)));
            }
            it.out.push_str("</ul>");
        }
        it.out.push_str(&piece.account.xhtml);
        it.line();
    }
    for line in &question.given {
        it.paragraph(line);
    }
    // The order is the site's, so that "I chose B" means one thing; it owes nothing to how good the options are.
    let attributes = [("responseIdentifier", "RESPONSE"), ("shuffle", "false"), ("maxChoices", "1")];
    it.within("choiceInteraction", &attributes, |it| {
        it.within("prompt", &[], |it| it.text(&question.ask));
        for option in &question.options {
            it.within("simpleChoice", &[("identifier", &option.id)], |it| it.text(&option.choice));
        }
    });
}

fn processing(it: &mut Writer) {
    it.within("responseProcessing", &[], |it| {
        it.within("responseCondition", &[], |it| {
            it.within("responseIf", &[], |it| {
                it.within("isNull", &[], |it| it.empty("variable", &[("identifier", "RESPONSE")]));
                it.within("setOutcomeValue", &[("identifier", "SCORE")], |it| {
                    it.within("baseValue", &[("baseType", "float")], |it| it.text("0"));
                });
            });
            it.within("responseElse", &[], |it| {
                it.within("setOutcomeValue", &[("identifier", "SCORE")], |it| {
                    it.empty("mapResponse", &[("identifier", "RESPONSE")]);
                });
                it.within("setOutcomeValue", &[("identifier", "FEEDBACK")], |it| {
                    it.empty("variable", &[("identifier", "RESPONSE")]);
                });
            });
        });
    });
    it.line();
}
