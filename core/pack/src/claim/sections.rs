use wythe_drawing::{Drawing, Estimate, Fit, Lay, lay};
use wythe_guide::figures::Figures;
use wythe_guide::pictures;
use wythe_guide::screen::{
    Level as Strength, earlier_texts, figure_lines, figure_remarks, grade_in_words, said_before, why_in_words,
};
use wythe_guide::{Ask, AskKind, Range, Standing};
use wythe_job::{Entry, PhotoTaken, Signed, TagRead, digest_of};

use crate::members::{original_name, short_name};
use crate::paper::{
    Align, Block, Column, Figure, FigureSize, Level, Notice, NoticeKind, Photo, Photos, Rich, Signature,
    Table,
};

use super::ClaimInput;
use super::evidence::NOTHING;

/// What was answered and photographed, stage by stage.
pub(super) fn stages(input: &ClaimInput<'_, '_>) -> Vec<Block> {
    let mut blocks = Vec::new();
    for stage in &input.known.guide.stages {
        let rows = answers(input, &stage.id);
        let photos = photos(input, &stage.id);
        let papers = papers(input, &stage.id);
        if rows.is_empty() && photos.is_empty() && papers.is_empty() {
            continue;
        }
        blocks.push(input.heading(Level::Two, &format!("stage-{}", stage.id)));
        if !rows.is_empty() {
            let words = input.words;
            let column = |head: &str, share: f64| Column {
                head: words.get(head),
                share,
                align: Align::Start,
            };
            blocks.push(Block::Table(Table {
                summary: words.get(&format!("stage-{}", stage.id)),
                columns: vec![
                    column("claim-column-asked", 3.6),
                    column("claim-column-answer", 2.7),
                    column("claim-column-usual", 1.6),
                    column("claim-column-by", 3.1),
                ],
                rows,
            }));
        }
        if !papers.is_empty() {
            blocks.push(Block::List(papers));
        }
        if !photos.is_empty() {
            blocks.push(Block::Photos(Photos { columns: 3, photos }));
        }
    }
    blocks
}

fn answers(input: &ClaimInput<'_, '_>, stage: &str) -> Vec<Vec<Rich>> {
    let mut rows = Vec::new();
    for ask in input
        .known
        .guide
        .asks_of_stage(stage)
        .filter(|ask| ask.kind.is_typed())
    {
        for address in input.known.addresses(ask, &[]) {
            let (value, entries) = match input.known.standing(&address) {
                Standing::Empty => continue,
                Standing::Holds(entry) => (input.value(&entry.body), vec![entry]),
                Standing::Disagrees(entries) => {
                    let values = entries.iter().map(|entry| input.value(&entry.body));
                    (values.collect::<Vec<_>>().join(" ≠ "), entries)
                }
            };
            let by = entries.iter().map(|entry| {
                let who = (input.name)(entry.body.measured.by.unwrap_or(entry.person));
                format!("{who}, {}", input.day(entry.body.measured.at.unwrap_or(entry.at)))
            });
            let mut label = Rich::new().plain(input.words.get(&format!("ask-{}", ask.id)));
            if address.path.iter().any(|place| place.number > 1) {
                label = label.plain(format!(
                    " ({})",
                    address
                        .path
                        .iter()
                        .map(|p| p.number.to_string())
                        .collect::<Vec<_>>()
                        .join("/")
                ));
            }
            let earlier = input
                .known
                .job
                .record
                .get(&address)
                .map_or(0, Vec::len)
                .saturating_sub(entries.len());
            let mut shown = Rich::new().plain(value);
            if earlier > 0 {
                let text = input
                    .words
                    .with("claim-earlier", &[("count", &earlier.to_string())]);
                shown = shown.plain(format!(" ({text})"));
            }
            rows.push(vec![
                label,
                shown,
                usual(ask, input.known.usual(ask, &address.path)).as_str().into(),
                by.collect::<Vec<_>>().join("; ").as_str().into(),
            ]);
        }
    }
    rows
}

/// The range outside of which a figure is doubtful, in the ask's usual unit.
fn usual(ask: &Ask, range: &Range) -> String {
    let (Some(least), Some(most)) = (range.least, range.most) else {
        return NOTHING.to_owned();
    };
    match &ask.kind {
        AskKind::Quantity(dimension) => {
            let show = |si: f64| {
                wythe_units::Style::usual(*dimension, wythe_units::System::Customary, most)
                    .map_or_else(|| si.to_string(), |style| wythe_units::show(si, &style))
            };
            format!("{} – {}", show(least), show(most))
        }
        AskKind::Number(unit) => format!("{least} – {most} {unit}"),
        AskKind::Span => format!("{} – {} min", least / 60.0, most / 60.0),
        _ => format!("{least} – {most}"),
    }
}

fn photos(input: &ClaimInput<'_, '_>, stage: &str) -> Vec<Photo> {
    let mut photos = Vec::new();
    for entry in input.known.job.photos.iter().filter(|entry| entry.holds()) {
        let Some(ask) = input
            .known
            .guide
            .ask(&entry.body.address.ask)
            .filter(|ask| ask.stage == stage)
        else {
            continue;
        };
        let preview = entry
            .body
            .preview
            .as_ref()
            .filter(|_| (input.shown)(entry.body.original.digest));
        if let Some(jpeg) = preview.and_then(|preview| (input.picture)(preview.digest)) {
            photos.push(Photo {
                jpeg,
                alt: alt(input, ask, entry),
                caption: caption(input, ask, entry),
            });
        }
    }
    photos
}

fn alt(input: &ClaimInput<'_, '_>, ask: &Ask, entry: &Entry<PhotoTaken>) -> String {
    let what = input.words.get(&format!("ask-{}", ask.id));
    input.words.with(
        "claim-photo-alt",
        &[("what", &what), ("date", &input.when(entry.at))],
    )
}

fn caption(input: &ClaimInput<'_, '_>, ask: &Ask, entry: &Entry<PhotoTaken>) -> Vec<Rich> {
    let words = input.words;
    let mut lines = vec![Rich::new().bold(words.get(&format!("ask-{}", ask.id)))];
    let body = &entry.body;
    let time = body.taken.as_ref().map_or_else(
        || words.get("claim-photo-no-time"),
        |taken| {
            let offset = taken.offset_min.map_or_else(String::new, |minutes| {
                let sign = if minutes < 0 { '−' } else { '+' };
                format!(" UTC{sign}{}:{:02}", minutes.abs() / 60, minutes.abs() % 60)
            });
            format!("{}{offset}", taken.local.replace('T', " "))
        },
    );
    lines.push(time.as_str().into());
    lines.extend(place_line(input, body).map(Rich::from));
    if let Some(grade) = &body.grade {
        let text = words.with("claim-photo-grade", &[("grade", &grade_in_words(grade, words))]);
        lines.push(text.into());
        if let Some(reason) = &grade.best_i_can {
            lines.push(words.with("photo-because", &[("reason", reason)]).into());
        }
    }
    if ask.tag {
        let text = words.with(
            "claim-photo-tag",
            &[("what", &words.get(tag_message(input, body)))],
        );
        lines.push(text.into());
    }
    let passed_over = input.readiness.rows.iter().flat_map(|row| &row.passed_over);
    if let Some((_, why)) = passed_over.into_iter().find(|(fact, _)| *fact == entry.fact) {
        let text = words.with("claim-photo-passed-over", &[("why", &why_in_words(why, words))]);
        lines.push(Rich::new().bold(text));
    }
    let who = (input.name)(entry.person);
    let file = short_name(&original_name(body.original.digest, &body.original.media_type));
    lines.push(format!("{who} · {file}").as_str().into());
    lines
}

/// Where it was taken: the place in its file, else the phone's own; with distance and direction from the
/// house where that is known.
fn place_line(input: &ClaimInput<'_, '_>, body: &PhotoTaken) -> Option<String> {
    let place = body.position.or(body.phone_position)?;
    let mut text = format!("{:.5}, {:.5}", place.latitude.0, place.longitude.0);
    let opened = input.known.job.opened.first();
    if let Some(site) = opened.and_then(|opened| opened.body.position) {
        let (metres, degrees) = (input.way)(site, place);
        let given = [
            ("distance", distance_text(metres)),
            ("bearing", bearing_text(metres, degrees)),
            ("place", text.clone()),
        ];
        let given = given.each_ref().map(|(name, value)| (*name, value.as_str()));
        text = input.words.with("claim-photo-distance", &given);
    }
    Some(match body.position {
        Some(_) => text,
        None => input.words.with("claim-photo-phone-place", &[("place", &text)]),
    })
}

/// Within a metre there is no direction to speak of.
fn bearing_text(metres: f64, degrees: f64) -> String {
    if metres < 1.0 {
        return NOTHING.to_owned();
    }
    format!("{:.0}°", degrees.round() % 360.0)
}

/// What the job's tag in the frame is.
fn tag_message(input: &ClaimInput<'_, '_>, body: &PhotoTaken) -> &'static str {
    let read = body.tags.iter().filter_map(|text| input.tags.get(text)).min();
    match read {
        Some(TagRead::Own) => "tag-own",
        Some(TagRead::OtherJob) => "tag-other-job",
        Some(TagRead::NotGenuine) => "tag-not-genuine",
        Some(TagRead::NoTag) | None => "tag-none",
    }
}

fn distance_text(metres: f64) -> String {
    if metres < 1_000.0 {
        format!("{metres:.0} m")
    } else {
        format!("{:.1} km", metres / 1_000.0)
    }
}

fn papers(input: &ClaimInput<'_, '_>, stage: &str) -> Vec<Rich> {
    let mut lines = Vec::new();
    for entry in input.known.job.papers.iter().filter(|entry| entry.holds()) {
        let Some(ask) = input
            .known
            .guide
            .ask(&entry.body.address.ask)
            .filter(|ask| ask.stage == stage)
        else {
            continue;
        };
        if !(input.shown)(entry.body.original.digest) {
            continue;
        }
        let name = original_name(entry.body.original.digest, &entry.body.original.media_type);
        let name = short_name(&name);
        let pages = entry.body.pages.map_or_else(String::new, |pages| {
            format!(
                " · {}",
                input
                    .words
                    .with("claim-paper-pages", &[("count", &pages.to_string())])
            )
        });
        let text = format!(
            ": {name}{pages} · {}, {}",
            (input.name)(entry.person),
            input.when(entry.at)
        );
        lines.push(
            Rich::new()
                .bold(input.words.get(&format!("ask-{}", ask.id)))
                .plain(text),
        );
    }
    lines
}

/// The figures as they stand, those that a programme or inspector wants first, the others as an annex.
pub(super) fn figures(input: &ClaimInput<'_, '_>) -> Vec<Block> {
    let mut blocks = Vec::new();
    for front in [true, false] {
        let mut first = true;
        for figures in input.figures {
            let plan = input
                .known
                .guide
                .figures
                .iter()
                .find(|plan| plan.id == figures.id);
            let Some(plan) = plan.filter(|plan| plan.front == front) else {
                continue;
            };
            let Some(result) = figures.good() else { continue };
            if first {
                blocks.push(input.heading(Level::Two, if front { "claim-figures" } else { "claim-annex" }));
                if front {
                    blocks.push(Block::Paragraph(
                        input.words.get("claim-figures-how").as_str().into(),
                    ));
                }
                first = false;
            }
            blocks.extend(one_figure(input, figures, plan, result));
            let before = earlier_texts(input.known, plan, &figures.path, Some(figures), input.words);
            blocks.extend(before.into_iter().map(|text| Block::Paragraph(text.into())));
        }
    }
    blocks
}

fn one_figure(
    input: &ClaimInput<'_, '_>,
    figures: &Figures,
    plan: &wythe_guide::FiguresPlan,
    result: &serde_json::Value,
) -> Vec<Block> {
    let words = input.words;
    let mut blocks = vec![Block::Heading(
        Level::Three,
        words.get(&format!("figures-{}", figures.id)),
    )];
    let said = said_before(figures, words).into_iter();
    blocks.extend(said.map(|text| Block::Paragraph(text.as_str().into())));
    let lines = figure_lines(plan, result, words).into_iter();
    let mut pairs: Vec<(String, Rich)> = lines.map(|(name, text)| (name, text.as_str().into())).collect();
    let sources = figures.sources();
    if !sources.is_empty() {
        pairs.push((words.get("figures-by"), sources.join("; ").into()));
    }
    if let Some(verdict) = result.get("verdict").and_then(serde_json::Value::as_str) {
        pairs.push((
            words.get("claim-verdict"),
            words.get(&format!("verdict-{verdict}")).as_str().into(),
        ));
    }
    blocks.push(Block::Pairs(pairs));
    let mut drawings = drawings(figures, words).into_iter();
    blocks.extend(drawings.next());
    let mut blocks = vec![Block::Together(blocks)];
    blocks.extend(drawings);
    for remark in figure_remarks(figures, words) {
        let (kind, word) = match remark.level {
            Strength::Stop => (NoticeKind::Stop, "word-stop"),
            Strength::Caution => (NoticeKind::Caution, "word-caution"),
            Strength::Note => (NoticeKind::Note, "word-note"),
        };
        let mut said = Rich::new().plain(remark.message);
        if !remark.source.is_empty() {
            said = said.plain(format!(" ({})", remark.source));
        }
        blocks.push(Block::Notice(Notice {
            kind,
            word: words.get(word),
            text: vec![said],
        }));
    }
    blocks
}

/// Millimetres: how high a drawing is, and for one whose words need more room.
const DRAWING_HEIGHTS: [f64; 3] = [80.0, 140.0, 215.0];
/// Points: the width between the margins of the narrower paper, with a little to spare.
const DRAWING_WIDTH: f64 = 490.0;

/// The drawings of figures. One whose words do not fit a page is left out: the pairs say the same.
pub(super) fn drawings(figures: &Figures, words: &wythe_guide::Words) -> Vec<Block> {
    let fitting = |drawing: &Drawing| {
        DRAWING_HEIGHTS.into_iter().find(|height| {
            let fit = Fit::Into {
                width: DRAWING_WIDTH,
                // What is to scale needs a part of the room beside the words.
                height: 0.8 * height / 25.4 * 72.0,
            };
            lay(drawing, &Lay::new(fit), &Estimate).is_ok()
        })
    };
    let drawn = pictures::pictures(figures, words).into_iter();
    drawn
        .filter_map(|drawing| {
            let height = fitting(&drawing)?;
            Some(Block::Figure(Figure {
                caption: drawing.alt.as_str().into(),
                drawing,
                size: FigureSize::Fit { share: 1.0, height },
            }))
        })
        .collect()
}

/// Under which name the page lies that was signed by hand.
fn signed_page(input: &ClaimInput<'_, '_>, body: &Signed) -> Option<String> {
    let mut pages = input.known.job.papers.iter();
    let page = pages.find(|page| body.covers.contains(&page.fact) && page.body.address == body.address)?;
    let name = short_name(&original_name(
        page.body.original.digest,
        &page.body.original.media_type,
    ));
    Some(input.words.with("claim-signed-page", &[("name", &name)]))
}

/// The signatures, each with the words that were signed.
pub(super) fn signatures(input: &ClaimInput<'_, '_>) -> Vec<Block> {
    let words = input.words;
    let mut blocks = Vec::new();
    for entry in input.known.job.signatures.iter().filter(|entry| entry.holds()) {
        if blocks.is_empty() {
            blocks.push(input.heading(Level::Two, "claim-signatures"));
        }
        let body = &entry.body;
        let role = words.get(&format!("role-{}", body.role));
        let act = words.get(&format!("signed-{}", body.act.replace('_', "-")));
        let changed = input.known.job.has_changed_since(body);
        let covers = words.with(
            "claim-covers",
            &[
                ("count", &body.covers.len().to_string()),
                ("digest", &body.summary_digest.short()),
            ],
        );
        let mut lines: Vec<Rich> = vec![
            Rich::new().bold(format!("{}, {role}", body.name)),
            format!("{act}, {}", input.when(entry.at)).as_str().into(),
            covers.as_str().into(),
            words
                .with(
                    "claim-words-digest",
                    &[("digest", &digest_of(body.words.as_bytes()).short())],
                )
                .into(),
        ];
        if changed {
            lines.push(words.get("why-signed-an-earlier-state").as_str().into());
        }
        let point = |point: &wythe_job::StrokePoint| (f64::from(point.x), f64::from(point.y));
        let strokes: Vec<Vec<(f64, f64)>> = body
            .strokes
            .iter()
            .map(|stroke| stroke.iter().map(point).collect())
            .collect();
        let alt = words.with("claim-signature-alt", &[("name", &body.name)]);
        lines.extend(signed_page(input, body).map(Rich::from));
        // Who declined, or signed on paper, drew nothing here.
        let signature = if strokes.is_empty() {
            Block::List(lines)
        } else {
            Block::Signature(Signature { strokes, alt, lines })
        };
        blocks.push(Block::Together(vec![
            Block::Paragraph(body.words.as_str().into()),
            signature,
        ]));
    }
    blocks
}
