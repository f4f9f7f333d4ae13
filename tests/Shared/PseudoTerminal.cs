using System.Runtime.InteropServices;

namespace TestRig.Tests.Shared;

/// <summary>A pseudo-terminal whose far end is in the test: to the program it is a serial port like any other.</summary>
internal sealed class PseudoTerminal : IDisposable
{
    private const int OpenReadWriteNoControl = 2 | 0x100;

    private readonly IFarEnd device;
    private readonly int master;
    private readonly Thread fromHost;
    private readonly Thread toHost;
    private volatile bool closing;

    public PseudoTerminal(IFarEnd device)
    {
        this.device = device;
        master = Checked(OpenMaster(OpenReadWriteNoControl), "posix_openpt");
        Checked(Grant(master), "grantpt");
        Checked(Unlock(master), "unlockpt");
        var name = new byte[128];
        Checked(NameOf(master, name, (nuint)name.Length), "ptsname_r");
        PortName = System.Text.Encoding.ASCII.GetString(name, 0, Array.IndexOf(name, (byte)0));
        fromHost = new Thread(PumpFromHost) { IsBackground = true };
        toHost = new Thread(PumpToHost) { IsBackground = true };
        fromHost.Start();
        toHost.Start();
    }

    public string PortName { get; }

    /// <summary>Takes the far end away, as pulling a plug does.</summary>
    public void Unplug()
    {
        if (closing)
            return;
        closing = true;
        device.Gone = true;
        fromHost.Join();
        toHost.Join();
        Checked(Close(master), "close");
    }

    public void Dispose() => Unplug();

    private void PumpFromHost()
    {
        var buffer = new byte[4096];
        while (!closing)
        {
            var wanted = new PollRequest { File = master, Events = 1 };
            // With nobody at the near end the master hangs up at once; then there is just nothing to read yet.
            if (Poll(ref wanted, 1, 20) <= 0 || (wanted.Returned & 1) == 0)
            {
                Thread.Yield();
                continue;
            }
            var count = (int)Read(master, buffer, (nuint)buffer.Length);
            if (count > 0 && !device.Gone)
                device.Write(buffer.AsSpan(0, count));
        }
    }

    private void PumpToHost()
    {
        var buffer = new byte[4096];
        while (!closing)
        {
            int count;
            try
            {
                count = device.Read(buffer);
            }
            catch (IOException)
            {
                return;
            }
            for (var written = 0; written < count && !closing;)
                written += (int)Checked((int)Write(master, buffer.AsSpan(written, count - written).ToArray(), (nuint)(count - written)), "write");
        }
    }

    private static int Checked(int result, string call) =>
        result >= 0 ? result : throw new IOException($"{call} failed with error {Marshal.GetLastPInvokeError()}");

    [StructLayout(LayoutKind.Sequential)]
    private struct PollRequest
    {
        public int File;
        public short Events;
        public short Returned;
    }

    [DllImport("libc", EntryPoint = "posix_openpt", SetLastError = true)]
    private static extern int OpenMaster(int flags);

    [DllImport("libc", EntryPoint = "grantpt", SetLastError = true)]
    private static extern int Grant(int file);

    [DllImport("libc", EntryPoint = "unlockpt", SetLastError = true)]
    private static extern int Unlock(int file);

    [DllImport("libc", EntryPoint = "ptsname_r", SetLastError = true)]
    private static extern int NameOf(int file, byte[] name, nuint length);

    [DllImport("libc", EntryPoint = "poll", SetLastError = true)]
    private static extern int Poll(ref PollRequest request, nuint count, int milliseconds);

    [DllImport("libc", EntryPoint = "read", SetLastError = true)]
    private static extern nint Read(int file, byte[] buffer, nuint length);

    [DllImport("libc", EntryPoint = "write", SetLastError = true)]
    private static extern nint Write(int file, byte[] buffer, nuint length);

    [DllImport("libc", EntryPoint = "close", SetLastError = true)]
    private static extern int Close(int file);
}
