using System.Runtime.InteropServices;
using Microsoft.Win32.SafeHandles;

namespace TestRig.Bench.Adapters.Serial;

/// <summary>
/// Holds a serial port for one program. Unix gives a port to every program that asks, to an administrator's even when another one holds it for itself alone, and two hosts on one line end each other's bursts. A lock on the port's
/// file is common practice there, and gone with the process, however that ends. Windows gives a port away once by itself.
/// </summary>
internal sealed class PortLock : IDisposable
{
    /// <summary>EWOULDBLOCK: somebody has the lock.</summary>
    private const int TakenOnLinux = 11, TakenOnMac = 35;

    private const int Exclusive = 2, DoNotWait = 4;

    private readonly SafeFileHandle? file;

    private PortLock(SafeFileHandle? file) => this.file = file;

    /// <summary>Null when another program has it. A port that cannot be opened is nobody's: opening it in earnest tells why.</summary>
    public static PortLock? Take(string portName)
    {
        if (OperatingSystem.IsWindows())
            return new(null);
        var number = Open(portName, OpenFlags);
        if (number < 0)
            return new(null);
        var file = new SafeFileHandle(number, ownsHandle: true);
        if (Lock(file, Exclusive | DoNotWait) == 0 || Marshal.GetLastPInvokeError() is not (TakenOnLinux or TakenOnMac))
            return new(file);
        file.Dispose();
        return null;
    }

    public void Dispose() => file?.Dispose();

    /// <summary>O_NOCTTY, O_NONBLOCK (a port without carrier is not waited for) and O_CLOEXEC, to read.</summary>
    private static int OpenFlags => OperatingSystem.IsMacOS() ? 0x20000 | 0x4 | 0x1000000 : 0x100 | 0x800 | 0x80000;

    [DllImport("libc", EntryPoint = "open", SetLastError = true, CharSet = CharSet.Ansi, BestFitMapping = false, ThrowOnUnmappableChar = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int Open([MarshalAs(UnmanagedType.LPUTF8Str)] string path, int flags);

    [DllImport("libc", EntryPoint = "flock", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int Lock(SafeFileHandle file, int operation);
}
