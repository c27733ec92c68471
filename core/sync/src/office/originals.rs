use wythe_job::{DeviceId, Stream};

use super::storage::{Access, Desk, ObjectKey, OfficeObjects};
use super::{Office, Stop, admit};
use crate::limits::MAX_PIECE_BYTES;
use crate::token::Token;
use crate::wire::{Code, Fetch, Fetched, HeldSoFar, Offered, Piece};

/// Whether a phone may send an original: a fact that the office has must name it, with this length.
/// Gives why not.
pub(super) fn may_send(desk: &mut dyn Desk, from: DeviceId, offered: &Offered) -> Result<Option<Code>, Stop> {
    let named = desk.named(offered.digest)?;
    let mut named = named
        .iter()
        .filter(|naming| naming.aside.is_none_or(|carrier| carrier == from))
        .peekable();
    Ok(if named.peek().is_none() {
        Some(Code::NotNamed)
    } else if named.any(|naming| naming.bytes == offered.bytes) {
        None
    } else {
        Some(Code::OtherLength)
    })
}

pub(super) fn refused(code: Code) -> HeldSoFar {
    HeldSoFar {
        bytes: 0,
        safe: false,
        refused: Some(code),
    }
}

/// How much of an original is here. When all bytes came they are checked; only what is what its name
/// says gets a receipt.
pub(super) fn held(
    objects: &mut dyn OfficeObjects,
    key: ObjectKey,
    from: DeviceId,
    whole: u64,
) -> Result<HeldSoFar, Stop> {
    let receipt = HeldSoFar {
        bytes: whole,
        safe: true,
        refused: None,
    };
    if objects.size(key)?.is_some() {
        return Ok(receipt);
    }
    let arrived = objects.arrived(key, from)?;
    if arrived < whole {
        return Ok(HeldSoFar {
            bytes: arrived,
            safe: false,
            refused: None,
        });
    }
    if objects.digest_of_arrived(key, from)? != key.digest {
        objects.forget(key, from)?;
        return Ok(refused(Code::WrongBytes));
    }
    objects.keep(key, from)?;
    Ok(receipt)
}

impl Office<'_> {
    /// Takes bytes of an original, as many as came.
    pub(super) fn piece(&mut self, token: &Token, it: &Piece, bytes: &[u8]) -> Result<HeldSoFar, Stop> {
        let key = ObjectKey {
            business: it.business,
            digest: it.digest,
        };
        let (device, not_allowed) = {
            let mut desk = self.storage.begin(it.business, Access::Read)?;
            let device = admit(&mut *desk, token)?;
            let offered = Offered {
                digest: it.digest,
                bytes: it.bytes,
            };
            let allowed = may_send(&mut *desk, device.device, &offered)?;
            (device.device, allowed)
        };
        if let Some(code) = not_allowed {
            return Ok(refused(code));
        }
        if self.objects.size(key)?.is_none() {
            self.objects.add(key, device, it.at, bytes)?;
        }
        held(self.objects, key, device, it.bytes)
    }

    /// Gives bytes of an original that a fact of one of the phone's streams names.
    pub(super) fn fetch(&mut self, token: &Token, it: &Fetch) -> Result<(Fetched, Vec<u8>), Stop> {
        {
            let mut desk = self.storage.begin(it.business, Access::Read)?;
            let device = admit(&mut *desk, token)?;
            if device.revoked {
                return Err(Stop::Refused(
                    Code::Revoked,
                    "this phone was revoked; enrol another",
                ));
            }
            let named = desk.named(it.digest)?;
            let grants = desk.grants(device.device)?;
            let of_phone = |stream: Stream| {
                grants
                    .iter()
                    .any(|grant| grant.stream == stream && !grant.withdrawn)
            };
            let named = named
                .iter()
                .any(|naming| naming.aside.is_none() && of_phone(naming.stream));
            if !named {
                return Err(Stop::Refused(
                    Code::NotNamed,
                    "no fact of this phone's jobs names this original",
                ));
            }
        }
        let key = ObjectKey {
            business: it.business,
            digest: it.digest,
        };
        let Some(bytes) = self.objects.size(key)? else {
            return Err(Stop::Refused(
                Code::NotHere,
                "the original has not come to the office yet",
            ));
        };
        let most = usize::try_from(it.most)
            .unwrap_or(usize::MAX)
            .min(MAX_PIECE_BYTES);
        let raw = self.objects.read(key, it.at, most)?;
        let fetched = Fetched {
            digest: it.digest,
            bytes,
            at: it.at.min(bytes),
            length: u32::try_from(raw.len()).unwrap_or(u32::MAX),
        };
        Ok((fetched, raw))
    }
}
