//! The subset of RDF/XML that CIMXML uses: resources one after the other, each with texts and references.

use super::CimError;
use crate::input::shown;
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};
use uuid::Uuid;

/// Namespaces of the whole document, and what identities are relative to.
const NAMESPACES: [(&str, &str); 4] = [
    ("xmlns:rdf", "http://www.w3.org/1999/02/22-rdf-syntax-ns#"),
    ("xmlns:cim", "http://iec.ch/TC57/CIM100#"),
    ("xmlns:md", "http://iec.ch/TC57/61970-552/ModelDescription/1#"),
    ("xml:base", "urn:uuid:"),
];

/// Namespace of the model's classes.
const CIM: &str = "http://iec.ch/TC57/CIM100#";

const ROOT: &str = "rdf:RDF";

/// A document on its way.
pub(super) struct Document {
    writer: Writer<Vec<u8>>,
}

impl Document {
    /// Resources without a document around them.
    pub(super) fn fragment() -> Self {
        Self { writer: Writer::new_with_indent(Vec::new(), b' ', 2) }
    }

    /// A document with its namespaces.
    pub(super) fn start() -> Result<Self, CimError> {
        let mut document = Self::fragment();
        document.writer.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
        let root = BytesStart::new(ROOT).with_attributes(NAMESPACES);
        document.writer.write_event(Event::Start(root))?;
        Ok(document)
    }

    /// What was written so far.
    pub(super) fn bytes(&self) -> &[u8] {
        self.writer.get_ref()
    }

    /// The whole document.
    pub(super) fn finish(mut self) -> Result<String, CimError> {
        self.writer.write_event(Event::End(BytesEnd::new(ROOT)))?;
        let mut bytes = self.writer.into_inner();
        bytes.push(b'\n');
        String::from_utf8(bytes).map_err(|error| std::io::Error::other(error).into())
    }

    /// A resource of the model, with its name and description.
    pub(super) fn resource(
        &mut self,
        class: &'static str,
        id: &Uuid,
        (name, description): (&str, &str),
        content: impl FnOnce(&mut Self) -> Result<(), CimError>,
    ) -> Result<(), CimError> {
        let (own, master) = (format!("_{id}"), id.to_string());
        self.element(class, ("rdf:ID", &own), |document| {
            document.text("cim:IdentifiedObject.mRID", &master)?;
            document.text("cim:IdentifiedObject.name", name)?;
            if !description.is_empty() {
                document.text("cim:IdentifiedObject.description", description)?;
            }
            content(document)
        })
    }

    /// An element with one attribute and other elements inside.
    pub(super) fn element(
        &mut self,
        name: &'static str,
        attribute: (&str, &str),
        content: impl FnOnce(&mut Self) -> Result<(), CimError>,
    ) -> Result<(), CimError> {
        let start = BytesStart::new(name).with_attributes([attribute]);
        self.writer.write_event(Event::Start(start))?;
        content(self)?;
        self.writer.write_event(Event::End(BytesEnd::new(name)))?;
        Ok(())
    }

    /// A property with a text.
    pub(super) fn text(&mut self, property: &'static str, text: &str) -> Result<(), CimError> {
        // U+FFFE and U+FFFF are not characters of XML either.
        if text.chars().any(|c| c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}')) {
            return Err(CimError::Text { property, found: shown(text) });
        }
        self.writer.write_event(Event::Start(BytesStart::new(property)))?;
        self.writer.write_event(Event::Text(BytesText::new(text)))?;
        self.writer.write_event(Event::End(BytesEnd::new(property)))?;
        Ok(())
    }

    /// A property that points to a resource of this document.
    pub(super) fn reference(&mut self, property: &'static str, id: &Uuid) -> Result<(), CimError> {
        self.pointing(property, &format!("#_{id}"))
    }

    /// A property whose value is one of an enumeration of the model.
    pub(super) fn one_of(&mut self, property: &'static str, value: &str) -> Result<(), CimError> {
        self.pointing(property, &format!("{CIM}{value}"))
    }

    fn pointing(&mut self, property: &'static str, target: &str) -> Result<(), CimError> {
        let start = BytesStart::new(property).with_attributes([("rdf:resource", target)]);
        self.writer.write_event(Event::Empty(start))?;
        Ok(())
    }
}
