//! The export as a general-purpose RDF library reads it.

use oxrdf::{Graph, NamedNode, NamedOrBlankNode, Term};
use oxrdfxml::RdfXmlParser;

const CIM: &str = "http://iec.ch/TC57/CIM100#";
const RDF_TYPE: &str = "http://www.w3.org/1999/02/22-rdf-syntax-ns#type";
pub(crate) const MODEL: &str = "http://iec.ch/TC57/61970-552/ModelDescription/1#";

/// What was read.
pub(crate) struct Read(Graph);

/// The whole name of a class or property; of the common information model unless it has its namespace.
fn whole(name: &str) -> NamedNode {
    let absolute = name.contains("://");
    NamedNode::new(if absolute { name.to_owned() } else { format!("{CIM}{name}") }).unwrap()
}

impl Read {
    pub(crate) fn of(xml: &str) -> Self {
        let triples = RdfXmlParser::new().for_slice(xml);
        let mut graph = Graph::new();
        graph.extend(triples.collect::<Result<Vec<_>, _>>().unwrap());
        Self(graph)
    }

    /// Identities of all resources of a class, sorted.
    pub(crate) fn all(&self, class: &str) -> Vec<String> {
        let (is_a, class) = (NamedNode::new(RDF_TYPE).unwrap(), whole(class));
        let found = self.0.subjects_for_predicate_object(&is_a, &class);
        let named = |subject: oxrdf::NamedOrBlankNodeRef<'_>| match subject.into_owned() {
            NamedOrBlankNode::NamedNode(node) => node.into_string(),
            NamedOrBlankNode::BlankNode(_) => panic!("a resource without an identity"),
        };
        let mut all: Vec<String> = found.map(named).collect();
        all.sort();
        all
    }

    /// Identities of everything that has a type, sorted.
    pub(crate) fn identities(&self) -> Vec<String> {
        let is_a = NamedNode::new(RDF_TYPE).unwrap();
        let typed = self.0.triples_for_predicate(&is_a);
        let mut all: Vec<String> = typed.map(|triple| triple.subject.to_string()).collect();
        all.sort();
        all
    }

    /// The one text or identity that a property holds, if it holds one.
    pub(crate) fn maybe(&self, subject: &str, property: &str) -> Option<String> {
        let (subject, property) = (NamedNode::new(subject).unwrap(), whole(property));
        let objects: Vec<Term> = self
            .0
            .objects_for_subject_predicate(&subject, &property)
            .map(oxrdf::TermRef::into_owned)
            .collect();
        assert!(objects.len() <= 1, "{property} more than once in {subject}");
        objects.into_iter().next().map(|object| match object {
            Term::NamedNode(node) => node.into_string(),
            Term::Literal(literal) => literal.value().to_owned(),
            Term::BlankNode(_) => panic!("a blank node in {subject}"),
        })
    }

    /// As [`Self::maybe`], which must be there.
    pub(crate) fn one(&self, subject: &str, property: &str) -> String {
        let found = self.maybe(subject, property);
        found.unwrap_or_else(|| panic!("{subject} lacks {property}"))
    }

    /// The one resource of a class.
    pub(crate) fn only(&self, class: &str) -> String {
        let all = self.all(class);
        assert_eq!(all.len(), 1, "one {class}");
        all[0].clone()
    }

    /// The one resource of a class with this name.
    pub(crate) fn named(&self, class: &str, name: &str) -> String {
        let mut all = self.all(class);
        all.retain(|id| self.one(id, "IdentifiedObject.name") == name);
        assert_eq!(all.len(), 1, "one {class} named {name}");
        all.remove(0)
    }
}
