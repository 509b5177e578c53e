"""Noise, rooms, microphones and log-mel on whole batches of sound, on the GPU.

All functions take and give [batch, samples] at 16 kHz. Kinds of noise kept for the held-out test
alone (drill, misfiring engine, birds, dripping water) are made in heldout.py and nowhere here.
"""

from __future__ import annotations

import math

import torch
from torch import Tensor
from torch.nn import functional

RATE = 16000


def uniform(shape: tuple[int, ...], low: float, high: float, device: torch.device) -> Tensor:
    return torch.rand(shape, device=device) * (high - low) + low


def shaped(sound: Tensor, points: Tensor) -> Tensor:
    """Filters with a gain curve in dB given at equal steps of the square root of frequency."""
    spectrum = torch.fft.rfft(sound)
    bins = spectrum.shape[1]
    place = torch.linspace(0, 1, bins, device=sound.device).sqrt() * (points.shape[1] - 1)
    low = place.floor().long().clamp(max=points.shape[1] - 2)
    part = place - low
    curve = points[:, low] * (1 - part) + points[:, low + 1] * part
    return torch.fft.irfft(spectrum * 10 ** (curve / 20), n=sound.shape[1])


def wander(batch: int, samples: int, step: float, device: torch.device) -> Tensor:
    """Smooth random curves of about unit size that turn every ``step`` seconds."""
    knots = max(4, int(samples / RATE / step) + 3)
    points = torch.randn(batch, 1, knots, device=device)
    return functional.interpolate(points, samples, mode="linear", align_corners=True)[:, 0]


def coloured(batch: int, samples: int, device: torch.device) -> Tensor:
    points = torch.randn(batch, 9, device=device) * 7
    slope = uniform((batch, 1), -45, 12, device) * torch.linspace(0, 1, 9, device=device)
    level = 1 + 0.4 * wander(batch, samples, 0.5, device) * (
        torch.rand(batch, 1, device=device) < 0.5
    )
    return shaped(torch.randn(batch, samples, device=device), points + slope) * level


def motor(batch: int, samples: int, device: torch.device) -> Tensor:
    """Harmonics of a wandering speed, with the rush of air and brushes around them."""
    base = 10 ** uniform((batch, 1), math.log10(35), math.log10(450), device)
    drift = 1 + uniform((batch, 1), 0.0, 0.15, device) * wander(batch, samples, 0.7, device)
    phase = torch.cumsum(base * drift / RATE, dim=1) * 2 * math.pi
    sound = torch.zeros(batch, samples, device=device)
    fall = uniform((batch, 1), 0.0, 1.5, device)
    for harmonic in range(1, 15):
        weight = torch.rand(batch, 1, device=device) ** 2 / harmonic**fall
        below = (base * harmonic < 7500).float()
        sound = sound + weight * below * torch.sin(harmonic * phase + 6.28 * harmonic**2 * 0.37)
    rush = coloured(batch, samples, device)
    return unit(sound) + uniform((batch, 1), 0.05, 1.0, device) * unit(rush)


def hum(batch: int, samples: int, device: torch.device) -> Tensor:
    base = torch.where(torch.rand(batch, 1, device=device) < 0.5, 50.0, 60.0)
    time = torch.arange(samples, device=device) / RATE
    sound = torch.zeros(batch, samples, device=device)
    for harmonic in range(1, 12):
        weight = torch.rand(batch, 1, device=device) ** 3
        sound = sound + weight * torch.sin(2 * math.pi * base * harmonic * time + harmonic)
    return sound + 0.02 * torch.randn(batch, samples, device=device)


def music(batch: int, samples: int, device: torch.device) -> Tensor:
    """Three voices of tempered notes with overtones; also serves for beeps and ringing."""
    sound = torch.zeros(batch, samples, device=device)
    for _ in range(3):
        length = int(RATE * float(torch.rand(()) * 0.5 + 0.12))
        count = samples // length + 1
        notes = torch.randint(-24, 30, (batch, count), device=device).float()
        pitch = (261.6 * 2 ** (notes / 12)).repeat_interleave(length, 1)[:, :samples]
        decay = torch.exp(-torch.arange(length, device=device) / length * 3.0)
        on = (torch.rand(batch, count, device=device) < 0.75).float()
        level = (on[:, :, None] * decay).reshape(batch, -1)[:, :samples]
        phase = torch.cumsum(pitch / RATE, dim=1) * 2 * math.pi
        for overtone in (1, 2, 3):
            weight = torch.rand(batch, 1, device=device) / overtone
            sound = sound + level * weight * torch.sin(overtone * phase)
    return sound


def knocks(batch: int, samples: int, device: torch.device) -> Tensor:
    """Blows that ring: sparse impulses through short random resonances."""
    rate = 10 ** uniform((batch, 1), -0.3, 1.3, device)
    hits = (torch.rand(batch, samples, device=device) < rate / RATE).float()
    hits = hits * torch.randn(batch, samples, device=device).abs()
    length = RATE // 3
    time = torch.arange(length, device=device) / RATE
    ring = torch.randn(batch, length, device=device) * 0.5
    for _ in range(3):
        tone = 10 ** uniform((batch, 1), 2.2, 3.8, device)
        ring = ring + torch.sin(2 * math.pi * tone * time) * torch.rand(batch, 1, device=device)
    ring = ring * torch.exp(-time * 10 ** uniform((batch, 1), 1.0, 2.3, device))
    return convolved(hits, ring) + 0.003 * torch.randn(batch, samples, device=device)


def breath(batch: int, samples: int, device: torch.device) -> Tensor:
    """Puffs of broad noise, mostly above 500 Hz, half a second long."""
    points = torch.tensor([-30, -12, 0, 2, 0, -4, -8, -14, -22.0], device=device)
    noise = shaped(
        torch.randn(batch, samples, device=device),
        points + 5 * torch.randn(batch, 9, device=device),
    )
    return noise * (wander(batch, samples, 0.35, device) - 0.3).clamp(min=0)


def scrape(batch: int, samples: int, device: torch.device) -> Tensor:
    """Sawing, sanding, rubbing: coloured noise that swells 2 to 40 times a second."""
    rate = 10 ** uniform((batch, 1), 0.3, 1.6, device)
    rate = rate * (1 + 0.2 * wander(batch, samples, 0.5, device))
    phase = torch.cumsum(rate / RATE, dim=1) * 2 * math.pi
    depth = uniform((batch, 1), 0.3, 1.0, device)
    shape = (1 + depth * torch.sin(phase)).clamp(min=0) ** uniform((batch, 1), 0.5, 3.0, device)
    return coloured(batch, samples, device) * shape


def squeal(batch: int, samples: int, device: torch.device) -> Tensor:
    """Bearings, brakes, warning beeps: one to three long wandering tones, on and off."""
    sound = 0.02 * torch.randn(batch, samples, device=device)
    for _ in range(3):
        tone = 10 ** uniform((batch, 1), 2.4, 3.75, device)
        bend = uniform((batch, 1), 0.0, 0.2, device) * wander(batch, samples, 0.3, device)
        phase = torch.cumsum(tone * (1 + bend) / RATE, dim=1) * 2 * math.pi
        on = (wander(batch, samples, 0.25, device) > uniform((batch, 1), -1.5, 0.5, device)).float()
        sound = sound + torch.rand(batch, 1, device=device) ** 2 * on * torch.sin(phase)
    return sound


def wind(batch: int, samples: int, device: torch.device) -> Tensor:
    """Gusts over the microphone: noise below some 300 Hz, and a hiss."""
    points = torch.tensor([14, 10, 2, -10, -20, -28, -34, -38, -42.0], device=device)
    noise = shaped(
        torch.randn(batch, samples, device=device),
        points + 4 * torch.randn(batch, 9, device=device),
    )
    return noise * (0.7 + wander(batch, samples, 0.4, device)).clamp(min=0.05)


def ratchet(batch: int, samples: int, device: torch.device) -> Tensor:
    """Ratchets, fans with something in them: even clicks, 4 to 40 a second, that ring shortly."""
    rate = 10 ** uniform((batch, 1), 0.6, 1.6, device)
    speed = (1 + 0.15 * wander(batch, samples, 0.6, device)).clamp(min=0.2)
    turns = torch.cumsum(rate * speed / RATE, dim=1)
    hits = torch.diff(turns.floor(), dim=1, prepend=turns[:, :1].floor())
    hits = hits * (1 + 0.3 * torch.randn(batch, samples, device=device))
    time = torch.arange(RATE // 10, device=device) / RATE
    tone = 10 ** uniform((batch, 1), 2.8, 3.8, device)
    ring = torch.randn(batch, time.numel(), device=device) + 2 * torch.sin(6.283 * tone * time)
    ring = ring * torch.exp(-time * uniform((batch, 1), 60, 500, device))
    return convolved(hits, ring) + 0.01 * torch.randn(batch, samples, device=device)


def air(batch: int, samples: int, device: torch.device) -> Tensor:
    """Compressed air: hiss that is let go and shut off at once."""
    points = torch.tensor([-34, -26, -16, -8, -3, 0, 2, 1, -3.0], device=device)
    noise = shaped(
        torch.randn(batch, samples, device=device),
        points + 4 * torch.randn(batch, 9, device=device),
    )
    open_ = wander(batch, samples, 0.3, device) > uniform((batch, 1), -0.8, 0.6, device)
    return noise * (0.03 + open_.float())


def rain(batch: int, samples: int, device: torch.device) -> Tensor:
    """Rain on a roof, gravel, frying: hundreds of dull or sharp taps a second."""
    rate = 10 ** uniform((batch, 1), 1.7, 3.2, device)
    hits = (torch.rand(batch, samples, device=device) < rate / RATE).float()
    hits = hits * torch.randn(batch, samples, device=device) ** 3
    slope = uniform((batch, 1), -35, 10, device) * torch.linspace(0, 1, 9, device=device)
    return shaped(hits, slope + 4 * torch.randn(batch, 9, device=device))


def grinder(batch: int, samples: int, device: torch.device) -> Tensor:
    """Grinders, saws, mowers' blades: a buzz with all its overtones under a broad roar."""
    base = 10 ** uniform((batch, 1), 1.9, 2.75, device)
    load = 1 + 0.12 * wander(batch, samples, 0.5, device)
    phase = torch.cumsum(base * load / RATE, dim=1)
    bite = uniform((batch, 1), 1.0, 8.0, device)
    buzz = (0.5 + 0.5 * torch.cos(6.283 * phase)) ** bite
    buzz = shaped(buzz - buzz.mean(1, keepdim=True), torch.randn(batch, 9, device=device) * 6)
    roar = coloured(batch, samples, device) * (0.6 + buzz.abs() / buzz.abs().amax(1, keepdim=True))
    return unit(buzz) + uniform((batch, 1), 0.3, 2.0, device) * unit(roar)


def inverter(batch: int, samples: int, device: torch.device) -> Tensor:
    """Chargers and motor drives: steady high tones with sidebands of the mains or the motor."""
    sound = 0.05 * torch.randn(batch, samples, device=device)
    time = torch.arange(samples, device=device) / RATE
    slow = 10 ** uniform((batch, 1), 1.5, 2.6, device)
    for _ in range(3):
        tone = 10 ** uniform((batch, 1), 3.0, 3.88, device)
        depth = uniform((batch, 1), 0.0, 2.0, device)
        swing = depth * torch.sin(6.283 * slow * time)
        sound = sound + torch.rand(batch, 1, device=device) * torch.sin(6.283 * tone * time + swing)
    return sound


def clatter(batch: int, samples: int, device: torch.device) -> Tensor:
    """Tools and screws dropped or sorted: bursts of many short metallic blows."""
    busy = wander(batch, samples, 0.25, device) > uniform((batch, 1), -0.3, 0.8, device)
    rate = 10 ** uniform((batch, 1), 0.8, 1.9, device)
    hits = (torch.rand(batch, samples, device=device) < rate / RATE).float() * busy
    hits = hits * torch.randn(batch, samples, device=device).exp()
    time = torch.arange(RATE // 4, device=device) / RATE
    ring = 0.3 * torch.randn(batch, time.numel(), device=device)
    for _ in range(5):
        tone = 10 ** uniform((batch, 1), 2.9, 3.88, device)
        fade = torch.exp(-time * uniform((batch, 1), 15, 200, device))
        ring = ring + torch.rand(batch, 1, device=device) * torch.sin(6.283 * tone * time) * fade
    ring = ring * torch.exp(-time * 12)
    return convolved(hits, ring) + 0.003 * torch.randn(batch, samples, device=device)


def babble(speech: Tensor) -> Tensor:
    """Several other rows of the batch talking at once, some of them backwards."""
    sound = torch.zeros_like(speech)
    for _ in range(int(torch.randint(3, 8, ()))):
        other = speech[torch.randperm(speech.shape[0], device=speech.device)]
        other = torch.roll(other, int(torch.randint(0, speech.shape[1], ())), 1)
        if float(torch.rand(())) < 0.3:
            other = other.flip(1)
        sound = sound + other * uniform((speech.shape[0], 1), 0.3, 1.0, speech.device)
    return sound


def convolved(sound: Tensor, response: Tensor) -> Tensor:
    size = sound.shape[1] + response.shape[1]
    product = torch.fft.rfft(sound, n=size) * torch.fft.rfft(response, n=size)
    return torch.fft.irfft(product, n=size)[:, : sound.shape[1]]


def unit(sound: Tensor) -> Tensor:
    return sound / sound.square().mean(1, keepdim=True).sqrt().clamp(min=1e-6)


def in_rooms(sound: Tensor) -> Tensor:
    """Random rooms: a direct sound, then noise that dies away in 0.1 to 0.7 s."""
    batch, device = sound.shape[0], sound.device
    length = int(0.5 * RATE)
    time = torch.arange(length, device=device) / RATE
    decay = torch.exp(-6.9 * time / uniform((batch, 1), 0.1, 0.7, device))
    late = torch.randn(batch, length, device=device) * decay
    gap = (uniform((batch, 1), 0.001, 0.02, device) * RATE).long()
    late = late * (torch.arange(length, device=device) > gap)
    late = late / late.square().sum(1, keepdim=True).sqrt().clamp(min=1e-6)
    late = late * 10 ** (-uniform((batch, 1), -3, 14, device) / 20)
    late[:, 0] = 1.0
    return convolved(sound, late)


KINDS = {
    coloured: 3.0, motor: 2.6, hum: 0.5, music: 1.0, knocks: 1.2, breath: 0.6, scrape: 1.5,
    squeal: 1.2, wind: 0.6, ratchet: 1.0, air: 1.0, rain: 1.2, grinder: 1.6, inverter: 0.8,
    clatter: 1.2,
}  # fmt: skip
"""Kinds of noise and how often they come; babble comes 2.2 times."""


def noises(speech: Tensor) -> Tensor:
    """One kind or a mixture of two for each row, of unit power."""
    batch, samples = speech.shape
    total = torch.zeros_like(speech)
    weights = torch.tensor([*KINDS.values(), 2.2], device=speech.device)
    for share in (1.0, 0.5):
        pick = torch.multinomial(weights, batch, replacement=True)
        for kind, make in enumerate((*KINDS, None)):
            rows = torch.nonzero(pick == kind)[:, 0]
            if rows.numel() == 0:
                continue
            made = (
                babble(speech)[rows] if make is None else make(rows.numel(), samples, speech.device)
            )
            keep = share == 1.0 or float(torch.rand(())) < 0.6
            total[rows] += unit(made) * share * keep
    return unit(total)


def whispered(speech: Tensor) -> Tensor:
    """The same without voice: its spectrum's envelope over noise."""
    window = torch.hann_window(512, device=speech.device)
    spectrum = torch.stft(speech, 512, 128, window=window, return_complex=True)
    kernel = torch.hann_window(17, device=speech.device)[None, None]
    power = spectrum.abs().square().transpose(1, 2)
    smooth = functional.conv1d(power.reshape(-1, 1, power.shape[2]), kernel, padding=8)
    gain = smooth.reshape(power.shape).transpose(1, 2).clamp(min=0).sqrt()
    hiss = torch.stft(torch.randn_like(speech), 512, 128, window=window, return_complex=True)
    made = torch.istft(gain * hiss, 512, 128, window=window, length=speech.shape[1])
    tilt = torch.tensor([-14, -9, -4, 0, 2, 3, 3, 2, 0.0], device=speech.device)
    loud = speech.square().mean(1, keepdim=True).sqrt()
    return unit(shaped(made, tilt.expand(speech.shape[0], 9))) * loud


def strained(speech: Tensor) -> Tensor:
    """As if shouted over noise, or said without strength: more or less above 1 kHz, pressed."""
    effort = uniform((speech.shape[0], 1), -1, 1, speech.device)
    tilt = torch.tensor([-6, -6, -2, 3, 7, 8, 7, 5, 4.0], device=speech.device)
    press = 1 + 5 * effort.clamp(min=0)
    return torch.tanh(shaped(speech, effort * tilt) * press) / press


def spoiled(speech: Tensor, empty: Tensor) -> Tensor:
    """What a microphone at the bench gives: ``speech`` in rooms, coloured, noisy, clipped.

    ``empty`` marks rows without speech: these get noise, or digital silence, alone.
    """
    batch, device = speech.shape[0], speech.device

    def some(share: float) -> Tensor:
        return torch.rand(batch, 1, device=device) < share

    sound = torch.where(some(0.25), strained(speech), speech)
    aside = torch.randperm(batch, device=device)[: max(1, batch // 40)]
    sound[aside] = whispered(sound[aside])
    sound = torch.where(some(0.45), in_rooms(sound), sound)
    sound = torch.where(some(0.65), shaped(sound, torch.randn(batch, 9, device=device) * 5), sound)
    active = sound.abs() > 0.02
    power = (sound.square() * active).sum(1, keepdim=True) / active.sum(1, keepdim=True).clamp(
        min=1
    )
    level = power.sqrt()
    level = torch.where(empty[:, None], uniform((batch, 1), 0.0, 0.1, device), level)
    ratio = torch.where(
        some(0.55), uniform((batch, 1), -4, 11, device), uniform((batch, 1), 8, 30, device)
    )
    noise = noises(speech) * level * 10 ** (-ratio / 20)
    floor = torch.randn_like(sound) * level * 10 ** (-uniform((batch, 1), 30, 65, device) / 20)
    quiet = some(0.5)
    sound = sound + torch.where(
        some(0.78), noise, torch.where(quiet, floor, torch.zeros_like(floor))
    )
    peak = sound.abs().amax(1, keepdim=True).clamp(min=1e-4)
    clipped = torch.minimum(torch.maximum(sound, -peak * 0.35), peak * 0.35)
    sound = torch.where(some(0.05), clipped, sound) / peak
    lines = torch.linspace(0, 1, 9, device=device) * 8000  # roughly a telephone's band
    narrow = torch.where(lines > 4200, -45.0, 0.0).expand(batch, 9)
    sound = torch.where(some(0.08), shaped(sound, narrow), sound)
    coarse = sound.sign() * torch.log1p(255 * sound.abs()) / math.log(256)
    coarse = (coarse * 127).round() / 127
    coarse = coarse.sign() * (256 ** coarse.abs() - 1) / 255  # ITU-T G.711 µ-law
    sound = torch.where(some(0.06), coarse, sound)
    sound = sound * 10 ** (-uniform((batch, 1), 0, 40, device) / 20)
    return (sound * 32767).round() / 32768


def log_mel(sound: Tensor, filters: Tensor) -> Tensor:
    """Whisper's features: [batch, 80, samples / 160]."""
    window = torch.hann_window(400, device=sound.device)
    spectrum = torch.stft(sound, 400, 160, window=window, return_complex=True)
    power = spectrum[..., :-1].abs().square()
    mel = torch.clamp(filters @ power, min=1e-10).log10()
    mel = torch.maximum(mel, mel.amax((1, 2), keepdim=True) - 8.0)
    return (mel + 4.0) / 4.0


def warped(mel: Tensor, share: float = 0.6) -> Tensor:
    """Vocal tracts of other lengths: the mel axis stretched by up to 12 % about its low end."""
    batch, bands, _ = mel.shape
    factor = torch.where(
        torch.rand(batch, 1, device=mel.device) < share,
        uniform((batch, 1), 0.88, 1.12, mel.device), torch.ones(batch, 1, device=mel.device),
    )  # fmt: skip
    place = (torch.arange(bands, device=mel.device)[None] * factor).clamp(max=bands - 1.001)
    low = place.floor().long()
    part = (place - low)[:, :, None]
    rows = torch.arange(batch, device=mel.device)[:, None]
    return mel[rows, low] * (1 - part) + mel[rows, low + 1] * part


def masked(mel: Tensor) -> Tensor:
    """Bands and moments left out (set to the mean), as in SpecAugment."""
    batch, bands, frames = mel.shape
    mean = mel.mean((1, 2), keepdim=True)
    for axis, size, most, count in ((1, bands, 14, 2), (2, frames, 14, 2)):
        for _ in range(count):
            width = torch.randint(0, most, (batch, 1), device=mel.device)
            start = (torch.rand(batch, 1, device=mel.device) * (size - width)).long()
            line = torch.arange(size, device=mel.device)[None]
            hole = (line >= start) & (line < start + width)
            hole = hole & (torch.rand(batch, 1, device=mel.device) < 0.5)
            mel = torch.where(hole[:, :, None] if axis == 1 else hole[:, None, :], mean, mel)
    return mel


def blotted(mel: Tensor, share: float = 0.4) -> Tensor:
    """Loud patches over a tenth of the picture at most: speech between short loud events.

    Patches of 2 to 12 bands and 2 to 8 frames, all of a size in one batch, as loud as the loudest
    of the row or up to 3 dB of its 80 less.
    """
    batch, bands, frames = mel.shape
    high, wide = 2 * int(torch.randint(1, 7, ())) + 1, 2 * int(torch.randint(1, 5, ())) + 1
    dense = torch.rand(batch, 1, 1, device=mel.device) ** 2 * 0.15 / (high * wide)
    dense = dense * (torch.rand(batch, 1, 1, device=mel.device) < share)
    seeds = torch.rand(batch, bands, frames, device=mel.device)
    seeds = (seeds < dense) * uniform((batch, bands, frames), 0.4, 1.0, mel.device)
    spots = functional.max_pool2d(seeds[:, None], (high, wide), 1, (high // 2, wide // 2))[:, 0]
    loudest = mel.amax((1, 2), keepdim=True)
    return torch.where(spots > 0, torch.maximum(mel, loudest - (1 - spots)), mel)


def mel_filters() -> Tensor:
    """The 80 Slaney-scale triangles of area one over 0 to 8000 Hz that Whisper uses."""
    from assistant.hearing.log_mel import filters

    return torch.from_numpy(filters())
