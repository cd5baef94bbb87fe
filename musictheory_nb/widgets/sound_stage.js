// sound_stage
