//! From pages to the bytes of a file, with the structure that a screen reader follows.

use std::collections::BTreeMap;
use std::num::NonZeroU16;

use krilla::configure::{Configuration, Validator};
use krilla::destination::XyzDestination;
use krilla::geom::{PathBuilder, Point};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{
    ArtifactType, ContentTag, Identifier, ListNumbering, SpanTag, TableHeaderScope, Tag, TagGroup, TagKind,
    TagTree,
};
use krilla::{SerializeSettings, color::rgb};

use crate::NoPaper;
use crate::document::Document;
use crate::font::Fonts;
use crate::layout::{Drawn, Heading, NodeId, Pages, Role, rectangle};
use crate::picture::{Colour, Line, Segment, Shape};

/// Writes pages.
pub(crate) fn write(pages: &Pages, document: &Document) -> Result<Vec<u8>, NoPaper> {
    let settings = SerializeSettings {
        configuration: Configuration::new_with_validator(Validator::UA1),
        enable_tagging: true,
        ..SerializeSettings::default()
    };
    let fonts = Fonts::new();
    let mut file = krilla::Document::new_with(settings);
    let mut contents: BTreeMap<NodeId, Vec<Identifier>> = BTreeMap::new();
    for drawn in &pages.drawn {
        let size = PageSettings::from_wh(pages.sheet.width, pages.sheet.height)
            .ok_or_else(|| NoPaper::Measure("a sheet has no such size".into()))?;
        let mut page = file.start_page_with(size);
        let mut surface = page.surface();
        draw_page(&mut surface, drawn, &fonts, &mut contents);
        surface.finish();
        page.finish();
    }
    file.set_tag_tree(tree(pages, &contents, &document.language));
    file.set_outline(outline(&pages.headings, &document.title));
    file.set_metadata(
        Metadata::new()
            .title(document.title.clone())
            .language(document.language.clone())
            .creator("Fulltray".into())
            .producer("Fulltray".into()),
    );
    file.finish().map_err(|error| NoPaper::Refused(format!("{error:?}")))
}

fn draw_page(
    surface: &mut Surface<'_>,
    drawn: &[Drawn],
    fonts: &Fonts,
    contents: &mut BTreeMap<NodeId, Vec<Identifier>>,
) {
    for run in drawn.chunk_by(|one, next| (one.node, one.is_footer) == (next.node, next.is_footer)) {
        let is_text = run.iter().all(|one| matches!(one.what, Shape::Text { .. }));
        let tag = match (run[0].node, run[0].is_footer) {
            (None, true) => ContentTag::Artifact(ArtifactType::Footer),
            (None, false) => ContentTag::Artifact(ArtifactType::Other),
            (Some(_), _) if is_text => ContentTag::Span(SpanTag::empty()),
            (Some(_), _) => ContentTag::Other,
        };
        let identifier = surface.start_tagged(tag);
        for one in run {
            draw(surface, &one.what, fonts);
        }
        surface.end_tagged();
        if let Some(node) = run[0].node {
            contents.entry(node).or_default().push(identifier);
        }
    }
}

fn draw(surface: &mut Surface<'_>, shape: &Shape, fonts: &Fonts) {
    match shape {
        Shape::Text { x, y, size, bold, colour, text, .. } => {
            let face = fonts.face(*bold);
            let (written, glyphs) = face.glyphs(text);
            surface.set_fill(Some(fill(*colour)));
            surface.set_stroke(None);
            surface.draw_glyphs(Point::from_xy(*x, *y), &glyphs, face.font.clone(), &written, *size, false);
        }
        Shape::Path { segments, fill: inner, line } => {
            // A path that is neither filled nor drawn would come out black.
            if let (Some(path), true) = (path(segments), inner.is_some() || line.is_some()) {
                surface.set_fill(inner.map(fill));
                surface.set_stroke(line.as_ref().map(stroke));
                surface.draw_path(&path);
            }
        }
        Shape::Clip { from, to } => {
            let window = path(&rectangle(*from, (to.0 - from.0, to.1 - from.1)));
            surface.push_clip_path(&window.expect("four corners are a path"), &FillRule::NonZero);
        }
        Shape::Unclip => surface.pop(),
    }
}

fn path(segments: &[Segment]) -> Option<krilla::geom::Path> {
    let mut builder = PathBuilder::new();
    for segment in segments {
        match *segment {
            Segment::Move((x, y)) => builder.move_to(x, y),
            Segment::Line((x, y)) => builder.line_to(x, y),
            Segment::Curve(one, two, to) => builder.cubic_to(one.0, one.1, two.0, two.1, to.0, to.1),
            Segment::Close => builder.close(),
        }
    }
    builder.finish()
}

fn fill(Colour(red, green, blue, cover): Colour) -> Fill {
    Fill { paint: rgb::Color::new(red, green, blue).into(), opacity: share(cover), rule: FillRule::NonZero }
}

fn stroke(line: &Line) -> Stroke {
    let Colour(red, green, blue, cover) = line.colour;
    let dash = StrokeDash { array: line.dashes.clone(), offset: 0.0 };
    Stroke {
        paint: rgb::Color::new(red, green, blue).into(),
        width: line.width,
        opacity: share(cover),
        dash: (!line.dashes.is_empty()).then_some(dash),
        ..Stroke::default()
    }
}

fn share(value: f32) -> NormalizedF32 {
    NormalizedF32::new(value).unwrap_or(NormalizedF32::ONE)
}

/// What can stand in a group, in order: a group, or content of a page.
fn tree(pages: &Pages, contents: &BTreeMap<NodeId, Vec<Identifier>>, language: &str) -> TagTree {
    let mut children: BTreeMap<Option<NodeId>, Vec<NodeId>> = BTreeMap::new();
    for (id, node) in pages.nodes.iter().enumerate() {
        children.entry(node.parent).or_default().push(id);
    }
    let mut tree = TagTree::new().with_lang(Some(language.to_owned()));
    for id in children.get(&None).into_iter().flatten() {
        tree.push(group(pages, *id, &children, contents));
    }
    tree
}

fn group(
    pages: &Pages,
    id: NodeId,
    children: &BTreeMap<Option<NodeId>, Vec<NodeId>>,
    contents: &BTreeMap<NodeId, Vec<Identifier>>,
) -> TagGroup {
    let mut group = TagGroup::new(kind(&pages.nodes[id].role));
    for identifier in contents.get(&id).into_iter().flatten() {
        group.push(*identifier);
    }
    for child in children.get(&Some(id)).into_iter().flatten() {
        group.push(self::group(pages, *child, children, contents));
    }
    group
}

fn kind(role: &Role) -> TagKind {
    match role {
        Role::Heading(level, text) => {
            let level = NonZeroU16::new(u16::from(*level)).unwrap_or(NonZeroU16::MIN);
            Tag::Hn(level, Some(text.clone())).into()
        }
        Role::Paragraph => Tag::P.into(),
        Role::List => Tag::L(ListNumbering::None).into(),
        Role::Item => Tag::LI.into(),
        Role::Label => Tag::Lbl.into(),
        Role::Body => Tag::LBody.into(),
        Role::Table(summary) => Tag::Table.with_summary(Some(summary.clone())).into(),
        Role::Row => Tag::TR.into(),
        Role::Head => Tag::TH(TableHeaderScope::Column).into(),
        Role::Cell => Tag::TD.into(),
        Role::Figure(alt) => Tag::Figure(Some(alt.clone())).into(),
        Role::Section => Tag::Section.into(),
    }
}

/// Headings as bookmarks, those of a lower level under the one before them.
fn outline(headings: &[Heading], title: &str) -> Outline {
    fn node(Heading(_, text, page, y): &Heading) -> OutlineNode {
        OutlineNode::new(text.clone(), XyzDestination::new(*page, Point::from_xy(0.0, *y)))
    }
    let mut outline = Outline::new();
    let mut begin = 0;
    while begin < headings.len() {
        let deeper = headings[begin + 1..].iter().take_while(|heading| headings[begin].0 < heading.0).count();
        let mut top = node(&headings[begin]);
        for heading in &headings[begin + 1..=begin + deeper] {
            top.push_child(node(heading));
        }
        outline.push_child(top);
        begin += deeper + 1;
    }
    if headings.is_empty() {
        outline.push_child(node(&Heading(1, title.to_owned(), 0, 0.0)));
    }
    outline
}
