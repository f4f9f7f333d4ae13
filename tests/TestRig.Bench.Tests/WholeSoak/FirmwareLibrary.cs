using System.Runtime.InteropServices;

namespace TestRig.Bench.Tests.WholeSoak;

/// <summary>The firmware's shared source, compiled for this machine: tests/firmware/device.</summary>
internal static class FirmwareLibrary
{
    private const string Library = "libtestrig-device.so";

    /// <summary>As DEVICE_ARGUMENTS, DEVICE_LINE_WORDS and DEVICE_STOP_WORDS.</summary>
    public const int Arguments = 2, LineWords = 5, StopWords = 3;

    [DllImport(Library, EntryPoint = "device_new", CharSet = CharSet.Ansi)]
    public static extern nint New([MarshalAs(UnmanagedType.LPUTF8Str)] string? name);

    [DllImport(Library, EntryPoint = "device_free")]
    public static extern void Free(nint device);

    [DllImport(Library, EntryPoint = "device_reset")]
    public static extern void Reset(nint device, uint bootNumber, byte cause, uint entropy);

    [DllImport(Library, EntryPoint = "device_go_on")]
    public static extern FirmwareRequest GoOn(nint device, uint ticks, byte[] answer, int length, uint[] arguments);

    [DllImport(Library, EntryPoint = "device_receive")]
    public static extern void Receive(nint device, byte[] bytes, int count);

    [DllImport(Library, EntryPoint = "device_take_sent")]
    public static extern int TakeSent(nint device, byte[] to, int room);

    [DllImport(Library, EntryPoint = "device_program")]
    public static extern int Program(nint device, byte[] steps, int room);

    [DllImport(Library, EntryPoint = "device_put_capture")]
    public static extern void PutCapture(
        nint device, byte outcome, byte pin, uint end, byte[] changes, int changeCount, byte[] levels, int levelCount, byte[] gaps, int gapCount, byte[] snapshot);

    [DllImport(Library, EntryPoint = "device_limits")]
    public static extern void Limits(nint device, uint[] lines, uint[] stops, out int lineCount, out int stopCount);

    [DllImport(Library, EntryPoint = "device_armed")]
    public static extern int Armed(nint device);

    [DllImport(Library, EntryPoint = "device_heartbeat_ms")]
    public static extern uint HeartbeatMilliseconds(nint device);

    [DllImport(Library, EntryPoint = "device_nonce")]
    public static extern uint Nonce(nint device);

    [DllImport(Library, EntryPoint = "device_session")]
    public static extern uint Session(nint device);

    [DllImport(Library, EntryPoint = "device_run")]
    public static extern uint Run(nint device);

    [DllImport(Library, EntryPoint = "device_pin")]
    public static extern int Pin(int pin, out byte capabilities, byte[] name);
}
