// Plays Standard MIDI Files on a bank with the JDK's own synthesizer, offline, and tells what it found in the bank.
// Arguments: BANK, then pairs of SCORE.mid and OUT.wav; 24-bit stereo at 48 kHz, until a second after the score's end.
//
// Compile and run it with --add-exports java.desktop/com.sun.media.sound=ALL-UNNAMED.

import com.sun.media.sound.AudioSynthesizer;
import com.sun.media.sound.DLSInstrument;
import com.sun.media.sound.DLSRegion;
import java.io.File;
import java.util.HashMap;
import java.util.Map;
import javax.sound.midi.Instrument;
import javax.sound.midi.MetaMessage;
import javax.sound.midi.MidiEvent;
import javax.sound.midi.MidiMessage;
import javax.sound.midi.MidiSystem;
import javax.sound.midi.Receiver;
import javax.sound.midi.Sequence;
import javax.sound.midi.Soundbank;
import javax.sound.midi.Track;
import javax.sound.sampled.AudioFileFormat;
import javax.sound.sampled.AudioFormat;
import javax.sound.sampled.AudioInputStream;
import javax.sound.sampled.AudioSystem;

public class PlayBank {
    static final float RATE_HZ = 48000;

    public static void main(String[] words) throws Exception {
        Soundbank bank = MidiSystem.getSoundbank(new File(words[0]));
        list(bank);
        for (int i = 1; i < words.length; i += 2) {
            play(bank, new File(words[i]), new File(words[i + 1]));
        }
    }

    /** A line for the bank, for each program, and for each of its regions. */
    static void list(Soundbank bank) {
        System.out.println("bank\t" + bank.getName());
        for (Instrument instrument : bank.getInstruments()) {
            System.out.println("program\t" + instrument.getPatch().getProgram() + "\t" + instrument.getName());
            for (DLSRegion r : ((DLSInstrument) instrument).getRegions()) {
                var sample = r.getSampleoptions();
                var loop = sample.getLoops().get(0);
                System.out.println("region\t" + r.getKeyfrom() + "\t" + r.getKeyto() + "\t" + r.getVelfrom() + "\t" + r.getVelto()
                    + "\t" + sample.getUnitynote() + "\t" + loop.getStart() + "\t" + loop.getLength() + "\t" + r.getChannel());
            }
        }
    }

    static void play(Soundbank bank, File score, File out) throws Exception {
        AudioSynthesizer synthesizer = (AudioSynthesizer) MidiSystem.getSynthesizer();
        Map<String, Object> settings = new HashMap<>();
        settings.put("interpolation", "sinc");
        settings.put("reverb", false);
        settings.put("chorus", false);
        settings.put("auto gain control", false);
        settings.put("load default soundbank", false);
        settings.put("max polyphony", 256);
        AudioFormat format = new AudioFormat(RATE_HZ, 24, 2, true, false);
        AudioInputStream sound = synthesizer.openStream(format, settings);
        if (!synthesizer.loadAllInstruments(bank)) {
            throw new Exception("the synthesizer does not load the bank");
        }
        double seconds = send(MidiSystem.getSequence(score), synthesizer.getReceiver());
        long frames = Math.round((seconds + 1) * RATE_HZ);
        AudioSystem.write(new AudioInputStream(sound, format, frames), AudioFileFormat.Type.WAVE, out);
        synthesizer.close();
    }

    /** Hands over the first track's events with their times, in microseconds; returns where the track ends, in seconds. */
    static double send(Sequence sequence, Receiver receiver) throws Exception {
        Track track = sequence.getTracks()[0];
        double microsPerTick = 500000.0 / sequence.getResolution(), micros = 0;
        long tick = 0;
        for (int i = 0; i < track.size(); i++) {
            MidiEvent event = track.get(i);
            micros += (event.getTick() - tick) * microsPerTick;
            tick = event.getTick();
            MidiMessage message = event.getMessage();
            if (message instanceof MetaMessage meta) {
                if (meta.getType() == 0x51) {
                    byte[] b = meta.getData();
                    microsPerTick = (double) ((b[0] & 0xFF) << 16 | (b[1] & 0xFF) << 8 | b[2] & 0xFF) / sequence.getResolution();
                }
                continue;
            }
            receiver.send(message, Math.round(micros));
        }
        return micros / 1e6;
    }
}
