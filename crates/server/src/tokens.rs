//! Semantic tokens: all, those of a range, and what has changed since the client last asked.

use crate::backend::Ask;
use crate::context::Context;
use curtilage_ide::{self as ide, Modifiers, Token, TokenKind};
use curtilage_text::Span;
use lsp_types::{
    Range, SemanticToken, SemanticTokenModifier, SemanticTokenType, SemanticTokens,
    SemanticTokensDelta, SemanticTokensEdit, SemanticTokensFullDeltaResult, SemanticTokensLegend,
    SemanticTokensRangeResult, SemanticTokensResult, Uri,
};
use std::collections::HashMap;
use std::path::PathBuf;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use tower_lsp::jsonrpc::Result;

type Tokens = Arc<Vec<SemanticToken>>;

/// What the client was last sent, by file.
#[derive(Default)]
pub(crate) struct Sent {
    known: Mutex<HashMap<PathBuf, (String, Tokens)>>,
    ids: AtomicU64,
}

/// The names of kinds and modifiers. Kinds have the standard names that colour schemes know.
pub(crate) fn legend() -> SemanticTokensLegend {
    let mut token_types: Vec<SemanticTokenType> = Vec::new();
    for kind in TokenKind::ALL {
        if !token_types.contains(&standard(kind)) {
            token_types.push(standard(kind));
        }
    }
    let token_modifiers = vec![
        SemanticTokenModifier::DECLARATION,
        SemanticTokenModifier::DEFAULT_LIBRARY,
        SemanticTokenModifier::new("shared"),
        SemanticTokenModifier::new("unknown"),
    ];
    SemanticTokensLegend { token_types, token_modifiers }
}

fn standard(kind: TokenKind) -> SemanticTokenType {
    match kind {
        TokenKind::Comment => SemanticTokenType::COMMENT,
        TokenKind::Keyword => SemanticTokenType::KEYWORD,
        TokenKind::Word => SemanticTokenType::MODIFIER,
        TokenKind::Number | TokenKind::Time => SemanticTokenType::NUMBER,
        TokenKind::Unit => SemanticTokenType::OPERATOR,
        TokenKind::Text | TokenKind::Path => SemanticTokenType::STRING,
        TokenKind::Site => SemanticTokenType::NAMESPACE,
        TokenKind::Schedule => SemanticTokenType::ENUM,
        TokenKind::Part => SemanticTokenType::CLASS,
        TokenKind::Power => SemanticTokenType::STRUCT,
        TokenKind::Controller => SemanticTokenType::TYPE,
        TokenKind::Zone => SemanticTokenType::VARIABLE,
        TokenKind::Output => SemanticTokenType::FUNCTION,
        TokenKind::Camera => SemanticTokenType::METHOD,
        TokenKind::Area => SemanticTokenType::ENUM_MEMBER,
        TokenKind::People => SemanticTokenType::PARAMETER,
        TokenKind::Response => SemanticTokenType::EVENT,
        TokenKind::Policy => SemanticTokenType::DECORATOR,
        TokenKind::Terminal => SemanticTokenType::PROPERTY,
        TokenKind::Rule => SemanticTokenType::MACRO,
    }
}

fn bits(modifiers: Modifiers) -> u32 {
    let Modifiers { declares, shared, given, unknown } = modifiers;
    let flags = [declares, given, shared, unknown];
    (0..).zip(flags).map(|(bit, set)| u32::from(set) << bit).sum()
}

pub(crate) fn full(ask: &Ask, uri: &Uri) -> Result<Option<SemanticTokensResult>> {
    let context = Context::new(ask, uri)?;
    let (result_id, data) = ask.sent.keep(&context, tokens(&context, None));
    let data = data.to_vec();
    Ok(Some(SemanticTokensResult::Tokens(SemanticTokens { result_id: Some(result_id), data })))
}

pub(crate) fn range(
    ask: &Ask,
    uri: &Uri,
    range: Range,
) -> Result<Option<SemanticTokensRangeResult>> {
    let context = Context::new(ask, uri)?;
    let data = tokens(&context, Some(context.span(range)));
    Ok(Some(SemanticTokensRangeResult::Tokens(SemanticTokens { result_id: None, data })))
}

pub(crate) fn delta(
    ask: &Ask,
    uri: &Uri,
    previous: &str,
) -> Result<Option<SemanticTokensFullDeltaResult>> {
    let context = Context::new(ask, uri)?;
    let before = ask.sent.known(&context, previous);
    let (result_id, data) = ask.sent.keep(&context, tokens(&context, None));
    let result_id = Some(result_id);
    Ok(Some(match before {
        Some(before) => {
            let edits = edit(&before, &data).into_iter().collect();
            SemanticTokensFullDeltaResult::TokensDelta(SemanticTokensDelta { result_id, edits })
        }
        None => {
            let data = data.to_vec();
            SemanticTokensFullDeltaResult::Tokens(SemanticTokens { result_id, data })
        }
    }))
}

impl Sent {
    fn keep(&self, context: &Context<'_>, data: Vec<SemanticToken>) -> (String, Tokens) {
        let id = self.ids.fetch_add(1, Ordering::Relaxed).to_string();
        let data = Arc::new(data);
        let mut known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        // Only what is open is asked about again.
        known.retain(|path, _| context.ask.snapshot.documents.contains_key(path));
        known.insert(context.path.clone(), (id.clone(), Arc::clone(&data)));
        (id, data)
    }

    fn known(&self, context: &Context<'_>, id: &str) -> Option<Tokens> {
        let known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        known.get(&context.path).filter(|(last, _)| last == id).map(|(_, data)| Arc::clone(data))
    }
}

/// One edit from the first to the last token that differs. Its numbers count integers, five a token.
fn edit(before: &[SemanticToken], after: &[SemanticToken]) -> Option<SemanticTokensEdit> {
    let head = before.iter().zip(after).take_while(|(a, b)| a == b).count();
    let shorter = before.len().min(after.len()) - head;
    let tails = before.iter().rev().zip(after.iter().rev()).take(shorter);
    let tail = tails.take_while(|(a, b)| a == b).count();
    let new = after.get(head..after.len() - tail).unwrap_or_default();
    let gone = before.len() - tail - head;
    let integers = |tokens: usize| u32::try_from(tokens * 5).unwrap_or(u32::MAX);
    (gone > 0 || !new.is_empty()).then(|| SemanticTokensEdit {
        start: integers(head),
        delete_count: integers(gone),
        data: Some(new.to_vec()),
    })
}

/// Tokens as the protocol counts them: each from the one before.
fn tokens(context: &Context<'_>, range: Option<Span>) -> Vec<SemanticToken> {
    let Some(lines) = context.lines() else { return Vec::new() };
    let types = legend().token_types;
    let number = |kind| types.iter().position(|known| *known == standard(kind)).unwrap_or(0);
    let mut last = lsp_types::Position::default();
    let token = |token: Token| {
        let start = lines.position(token.span.start);
        let same_line = start.line == last.line;
        let out = SemanticToken {
            delta_line: start.line - last.line,
            delta_start: if same_line { start.character - last.character } else { start.character },
            length: lines.encoding.length(token.span.of(lines.text)),
            token_type: u32::try_from(number(token.kind)).unwrap_or(0),
            token_modifiers_bitset: bits(token.modifiers),
        };
        last = start;
        out
    };
    ide::tokens(context.view(), range).into_iter().map(token).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn list(numbers: &[u32]) -> Vec<SemanticToken> {
        let token = |number: &u32| SemanticToken {
            delta_line: *number,
            delta_start: 0,
            length: 1,
            token_type: 0,
            token_modifiers_bitset: 0,
        };
        numbers.iter().map(token).collect()
    }

    proptest! {
        #[test]
        fn the_edit_makes_one_list_into_the_other(
            before in proptest::collection::vec(0..3u32, 0..20),
            after in proptest::collection::vec(0..3u32, 0..20),
        ) {
            let (before, after) = (list(&before), list(&after));
            let mut made = before.clone();
            if let Some(edit) = edit(&before, &after) {
                let start = edit.start as usize / 5;
                let end = start + edit.delete_count as usize / 5;
                made.splice(start..end, edit.data.unwrap());
            }
            prop_assert_eq!(made, after);
        }
    }
}
