//! Screens as plain text.

use wythe_app::guide::Words;
use wythe_app::guide::screen::{Block, BlockState, Level, Screen, TimerState};

const WIDTH: usize = 96;

/// A screen as lines of text.
pub fn screen(screen: &Screen, words: &Words) -> String {
    let mut out = String::new();
    let place = screen
        .place
        .iter()
        .chain([&screen.title])
        .cloned()
        .collect::<Vec<_>>()
        .join(" › ");
    line(&mut out, "", &place);
    line(&mut out, "", &"─".repeat(place.chars().count().min(WIDTH)));
    for part in &screen.blocks {
        block(&mut out, part, screen.next.as_deref(), words);
    }
    out
}

fn block(out: &mut String, part: &Block, next: Option<&str>, words: &Words) {
    let pointer = |id: &str| if next == Some(id) { "▶" } else { " " };
    match part {
        Block::Text {
            text, heading: true, ..
        } => {
            out.push('\n');
            line(out, "", text);
        }
        Block::Text { text, .. } => line(out, "", text),
        Block::Ask {
            id,
            label,
            state,
            value,
            draft,
            remark,
            said,
            optional,
            choices,
            timer,
            ..
        } => {
            let mark = match state {
                BlockState::Filled => "■",
                BlockState::Doubtful => "▨",
                BlockState::Disagreeing => "◧",
                BlockState::NotNeeded => return,
                BlockState::Waiting => "…",
                BlockState::Empty => "□",
            };
            let pointer = pointer(id);
            let value = value
                .as_ref()
                .map(|value| format!(": {value}"))
                .unwrap_or_default();
            let optional = if *optional && *state == BlockState::Empty {
                format!(" {}", words.get("screen-optional"))
            } else {
                String::new()
            };
            line(
                out,
                &format!("{pointer}{mark} "),
                &format!("{label}{value}{optional}"),
            );
            let mut detail = id.clone();
            if *state == BlockState::Empty && !choices.is_empty() {
                let codes: Vec<&str> = choices.iter().map(|choice| choice.code.as_str()).collect();
                detail = format!("{id}  [{}]", codes.join(" | "));
            }
            line(out, "     ", &detail);
            if let Some(remark) = remark {
                line(out, "     ", remark);
            }
            for entry in said {
                line(
                    out,
                    "     ",
                    &format!("{} — {}, {}", entry.text, entry.person, entry.when),
                );
            }
            if let Some(draft) = draft {
                line(out, "     ", &format!("“{draft}” …"));
            }
            if let Some(timer) = timer {
                clock(out, timer);
            }
        }
        Block::Note {
            level,
            word,
            text,
            lifted_by,
            ..
        } => {
            let bar = match level {
                Level::Stop => "┃┃ ",
                Level::Caution => "┃ ",
                Level::Note => "· ",
            };
            line(out, bar, &format!("{word}. {text}"));
            if let Some(by) = lifted_by {
                line(out, bar, by);
            }
        }
        Block::Figures {
            title,
            lines,
            missing,
            findings,
            earlier,
            ..
        } => {
            out.push('\n');
            line(out, "", title);
            for (name, value) in lines {
                line(out, "   ", &format!("{name}: {value}"));
            }
            if !missing.is_empty() {
                line(out, "   … ", &missing.join(", "));
            }
            for (level, text) in findings {
                let bar = match level {
                    Level::Stop => "┃┃ ",
                    Level::Caution => "┃ ",
                    Level::Note => "· ",
                };
                line(out, bar, text);
            }
            for text in earlier {
                line(out, "× ", text);
            }
        }
        // The wall's words follow it as a text of their own.
        Block::Drawing { id, .. } if id == "wall" => {}
        Block::Drawing { drawing, .. } => line(out, "", &drawing.alt),
        Block::List { items, .. } => {
            for item in items {
                let mark = match item.state {
                    BlockState::Filled => "■",
                    BlockState::Waiting => "…",
                    _ => "□",
                };
                line(out, &format!("{}{mark} ", pointer(&item.id)), &item.title);
                if !item.detail.is_empty() {
                    line(out, "     ", &item.detail);
                }
            }
        }
        Block::Action { id, label } => line(out, &format!("{}→ ", pointer(id)), &format!("{label}  ({id})")),
    }
}

/// A running timer's taps, and what can be done with it.
fn clock(out: &mut String, timer: &TimerState) {
    if timer.started_ms.is_some() {
        let taps: Vec<String> = timer.taps.iter().map(|tap| format!("{tap:.1} s")).collect();
        line(out, "     ◷ ", &taps.join(" · "));
    }
    for (id, label) in &timer.actions {
        line(out, "     → ", &format!("{label}  ({id})"));
    }
}

/// Adds a text, wrapped; what follows the first line is indented like its lead.
pub fn line(out: &mut String, lead: &str, text: &str) {
    let room = WIDTH.saturating_sub(lead.chars().count()).max(20);
    let mut first = true;
    for paragraph in text.split('\n') {
        let mut row = String::new();
        for word in paragraph.split(' ') {
            if !row.is_empty() && row.chars().count() + 1 + word.chars().count() > room {
                push(out, lead, &row, &mut first);
                row.clear();
            }
            if !row.is_empty() {
                row.push(' ');
            }
            row.push_str(word);
        }
        push(out, lead, &row, &mut first);
    }
}

fn push(out: &mut String, lead: &str, row: &str, first: &mut bool) {
    if *first {
        out.push_str(lead);
        *first = false;
    } else {
        // A stop's bar runs down the whole text.
        let indent: String = lead.chars().map(|c| if c == '┃' { '┃' } else { ' ' }).collect();
        out.push_str(&indent);
    }
    out.push_str(row.trim_end());
    out.push('\n');
}
